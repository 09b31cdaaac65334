-- One row: a seen trial (report x deck x topic) with what the rules say of it.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  report_id,
  topic,
  inspected_on,
  call,
  judged,
  upheld,
  overcalled,
  missed or understated as passed_over
from trials
where seen
    /* within.sql */
order by report_id, topic
