-- One row: a topic x what was recorded, whatever the call; 'not recorded' where nothing decisive was.
-- $topic: a topic id.
select distinct topic, coalesce(recorded, 'not recorded') as recorded
from outcomes
where topic = $topic
