-- One row: an inspector who took part in a training session on a topic. No parameters.
select distinct
  session_id,
  held_on,
  topic,
  inspector_id
from sessions
order by held_on, session_id, topic, inspector_id
