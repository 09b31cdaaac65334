-- One row: an inspector x topic x side x kinds, over seen trials with a judged place of that side; counts are of trials.
-- side: sound (a place was judged acceptable) or defect (a place was judged a defect); a trial can be on both.
-- kinds: what was recorded at these places, each kind once, however many places show it.
-- wrong: of sound ones, those written up at such a place; of defects, those passed over at one and upheld at none.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with sides as (
  select
    report_id,
    deck_id,
    topic,
    inspector_id,
    case when counted_verdict = 'defect' then 'defect' else 'sound' end as side,
    string_agg(distinct recorded, ' + ' order by recorded) as kinds,
    bool_or(counted_outcome = 'overcalled')
    or (bool_or(counted_outcome = 'missed') and not bool_or(counted_outcome = 'upheld')) as wrong
  from outcomes
  where call <> 'not_seen' and counted_verdict in ('defect', 'acceptable')
    /* within.sql */
  group by all
)
select
  inspector_id,
  topic,
  side,
  coalesce(kinds, 'not recorded') as kinds,
  count(*) as trials,
  count(*) filter (where wrong) as wrong
from sides
group by all
order by all
