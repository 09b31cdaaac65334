-- One row: a topic x what was recorded, over trials that were written up with it. Topics without a rule are left out.
-- A trial is judged, or overcalled, if any of its written-up rows of that kind is; what is not judged was left to the
-- inspector (judgment) or could not be told (undecided). recorded is 'not recorded' where nothing decisive was.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with written_up_trials as (
  select
    topic,
    coalesce(recorded, 'not recorded') as recorded,
    report_id,
    deck_id,
    any_value(inspector_id) as inspector_id,
    any_value(inspected_on) as inspected_on,
    bool_or(counted_outcome in ('upheld', 'overcalled')) as judged,
    bool_or(counted_outcome = 'overcalled') as overcalled,
    bool_or(counted_outcome = 'judgment') as judgment
  from outcomes
  where call = 'written_up' and topic not in (select topic from topics where not judged)
    /* within.sql */
  group by topic, coalesce(recorded, 'not recorded'), report_id, deck_id
)
select
  topic,
  recorded,
  count(*) as written_up,
  count(*) filter (where judged) as judged,
  count(*) filter (where judged and not overcalled) as upheld,
  count(*) filter (where overcalled) as overcalled,
  count(*) filter (where not judged and judgment) as judgment,
  count(*) filter (where not judged and not judgment) as undecided,
  count(distinct inspector_id) as inspectors,
  count(distinct inspector_id) filter (where overcalled) as inspectors_overcalled,
  count(distinct deck_id) as decks,
  min(inspected_on) as first_seen,
  max(inspected_on) as last_seen
from written_up_trials
group by topic, recorded
