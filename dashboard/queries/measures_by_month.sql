-- One row: a month x topic x measure that one of the topic's rules needs: seen calls on the topic, and those of them
-- beside which the measure was recorded. No parameters.
with needed as (
  select distinct topic, unnest(needs) as measure
  from criteria
),
counted as (
  select
    topic,
    date_trunc('month', inspected_on)::date as month,
    count(*) as calls,
    -- Every column, since which are measures is known from a table only; long texts are left aside for speed.
    count(columns(lambda name: name not in (
      'topic', 'inspected_on', 'observation_id', 'comment', 'recommendation', 'reason', 'missing', 'recorded'
    ))) as '\0'
  from observations
  where call <> 'not_seen'
  group by all
),
filled as (
  unpivot counted
  on columns(* exclude (topic, month, calls))
  into name measure value recorded
)
select topic, month, measure, measures.title, calls, recorded
from filled
join needed using (topic, measure)
join measures using (measure)
order by topic, measure, month
