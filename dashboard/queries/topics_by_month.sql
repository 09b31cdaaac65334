-- One row: a month x topic that is called at all: reports of the month, and those of them that call the topic.
-- No parameters.
with months as (
  select date_trunc('month', inspected_on)::date as month, count(distinct report_id) as reports
  from trials
  group by all
),
called as (
  select date_trunc('month', inspected_on)::date as month, topic, count(distinct report_id) as recorded
  from trials
  group by all
)
select topic, title, month, reports as calls, coalesce(recorded, 0) as recorded
from months
cross join (select distinct topic from called)
join topics using (topic)
left join called using (month, topic)
order by topic, month
