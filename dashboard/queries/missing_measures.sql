-- One row: a topic x measure whose absence left trials undecided. calls counts the seen trials of the topic;
-- undecided those in which no row was decided and a seen row lacked the measure. One trial may lack several measures.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with seen_trials as (
  select report_id, deck_id, topic, verdict
  from trials
  where seen
    /* within.sql */
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
