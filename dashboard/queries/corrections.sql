-- One row: a trial (report x deck x topic) whose own measures fail a rule of at least $weight, and that was passed over
-- or only advised upon and written up nowhere in the trial; newest first. observation_id is the weightiest such place.
-- $weight: how much a wrong call matters, as the rule has it.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with passed_over as (
  select observation_id, report_id, deck_id, inspected_on, topic, call, outcome, place, recorded, reason, criterion_id
  from outcomes
  where outcome in ('missed', 'understated')
    /* within.sql */
),
not_written_up as (
  select report_id, deck_id, topic
  from trials
  where missed or understated
)
select observation_id, report_id, deck_id, inspected_on, passed_over.topic, call, outcome, place, recorded, reason, criteria.weight
from passed_over
join not_written_up using (report_id, deck_id, topic)
join criteria using (criterion_id)
where criteria.weight >= $weight::integer
qualify row_number() over (partition by report_id, deck_id, passed_over.topic order by criteria.weight desc, observation_id) = 1
order by inspected_on desc, observation_id
