-- One row: a value that was read out of an observation's comment, with the words that it was read from: the comment's
-- characters from start up to, not including, end. decided_by_comment: whether
-- the row's verdict needed what the comment says.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  comment_reads.observation_id,
  outcomes.topic,
  comment_reads.measure,
  comment_reads.value,
  comment_reads.text,
  comment_reads."start",
  comment_reads."end",
  comment_reads.rule,
  outcomes.basis = 'comment' as decided_by_comment,
  outcomes.comment
from comment_reads
join outcomes using (observation_id)
where true
    /* within.sql */
order by comment_reads.observation_id, comment_reads."start", comment_reads.measure
