-- What was read out of the comments, given to each row that has the wording. wordings_read: a value read out of a
-- wording, with its text, its first character, the one after its last, and the rule that read it.
insert into comment_reads
select
    observation_id, measure, value, text, wordings_read."start", wordings_read."end", rule
from to_read
inner join wordings on to_read.topic = wordings.topic and to_read.comment = wordings.comment
inner join wordings_read using (wording)
