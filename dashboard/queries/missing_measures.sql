-- One row: a topic x measure whose absence left trials undecided. calls counts the seen trials of the topic;
-- undecided those in which no row was decided and a seen row lacked the measure. One trial may lack several measures.
-- The seven filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with seen_trials as (
  select report_id, deck_id, topic, verdict
  from trials
  where seen
    and ($first_day::date is null or inspected_on >= $first_day::date)
    and ($last_day::date is null or inspected_on <= $last_day::date)
    and ($regions::varchar[] is null or list_contains($regions::varchar[], region))
    and ($builders::varchar[] is null or list_contains($builders::varchar[], builder))
    and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
    and ($deck_ages::varchar[] is null or list_contains($deck_ages::varchar[], deck_age))
    and ($inspectors::varchar[] is null or list_contains($inspectors::varchar[], inspector_id))
),
calls as (
  select topic, count(*) as calls
  from seen_trials
  group by topic
),
lacking as (
  select distinct report_id, deck_id, topic, unnest(missing) as measure
  from outcomes
  where call <> 'not_seen' and verdict = 'cannot_tell' and missing is not null
)
select topic, measure, any_value(calls.calls) as calls, count(*) as undecided
from seen_trials
join lacking using (report_id, deck_id, topic)
join calls using (topic)
where verdict = 'cannot_tell'
group by topic, measure
