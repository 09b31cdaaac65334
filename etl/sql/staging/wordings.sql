-- The comments to read, each wording once for a topic, which helps where a comment leaves out the noun. to_read:
-- observation_id, topic and comment (null where there is none).
create or replace temp table wordings as
select row_number() over (order by comment, topic) as wording, topic, comment
from (select distinct topic, comment from to_read where comment is not null)
