-- One row: a training session on a topic, with how many inspectors took part. No parameters.
select
  held_on,
  topic,
  count(distinct inspector_id) as attended
from sessions
group by all
order by held_on, topic
