-- One row: a seen trial (report x deck x topic) with what the rules say of it.
-- counted: whether the verdict may stand in a rate: those of targeted and disputed second looks are of calls that were
-- chosen for what they are.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  report_id,
  topic,
  inspected_on,
  call,
  judged,
  upheld,
  overcalled,
  missed or understated as passed_over,
  coalesce(looked, 'random') = 'random' as counted
from trials
where seen
    /* within.sql */
order by report_id, topic
