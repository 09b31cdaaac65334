-- One row: an inspector at a training session on a topic; hours is null where they are not known. No parameters.
select
  session_id,
  held_on,
  topic,
  inspector_id,
  hours
from sessions
order by held_on, session_id, topic, inspector_id
