-- One row: a trial (report x deck x topic) whose own measures fail a rule of at least $weight, or in which a second look
-- found a defect, and that was passed over or only advised upon and written up nowhere in the trial; newest first.
-- observation_id is the weightiest such place. A ruling has the weight of the topic's weightiest rule; in a topic without
-- a rule it has none, and is not listed.
-- $weight: how much a wrong call matters, as the rule has it.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with passed_over as (
  select observation_id, report_id, deck_id, inspected_on, topic, call, outcome, place, recorded, reason, criterion_id
  from outcomes
  where outcome in ('missed', 'understated')
    /* within.sql */
),
weighed as (
  select passed_over.*, coalesce(criteria.weight, topics.weight) as weight
  from passed_over
  left join criteria using (criterion_id)
  left join topics on passed_over.topic = topics.topic
),
written_up as (
  select report_id, deck_id, topic
  from outcomes
  where outcome = 'upheld'
)
select observation_id, report_id, deck_id, inspected_on, topic, call, outcome, place, recorded, reason, weight
from weighed
anti join written_up using (report_id, deck_id, topic)
where weight >= $weight::integer
qualify row_number() over (partition by report_id, deck_id, topic order by weight desc, observation_id) = 1
order by inspected_on desc, observation_id
