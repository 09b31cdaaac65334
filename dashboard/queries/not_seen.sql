-- One row: a topic x a reason why it was not seen, over all trials (report x deck x topic), seen or not. A trial is not
-- seen only where no row of it was seen. reason 'all' is the topic's total, topic 'all' stands for all topics together;
-- reason 'not recorded': a row gives none. A trial whose rows give two reasons counts under both, so that reasons may add
-- up to more than their total.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with looked as (
  select report_id, deck_id, topic, seen
  from trials
  where true
    /* within.sql */
),
counted as (
  select coalesce(topic, 'all') as topic, count(*) as trials, count(*) filter (where not seen) as not_seen
  from looked
  group by grouping sets ((topic), ())
  having count(*) > 0
),
given as (
  select distinct report_id, deck_id, topic, coalesce(not_seen_reason, 'not recorded') as reason
  from outcomes
  where call = 'not_seen'
),
reasoned as (
  select coalesce(topic, 'all') as topic, reason, count(*) as not_seen
  from looked
  join given using (report_id, deck_id, topic)
  where not seen
  group by grouping sets ((topic, reason), (reason))
)
select topic, 'all' as reason, trials, not_seen
from counted
union all by name
select topic, reason, trials, reasoned.not_seen as not_seen
from reasoned
join counted using (topic)
