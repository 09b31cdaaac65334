-- One row: a value that a comment states other than it was recorded beside it; what was recorded stands. read: what the
-- comment says, with its words: the comment's characters from start up to, not including, end.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  comment_conflicts.observation_id,
  outcomes.topic,
  comment_conflicts.measure,
  comment_conflicts.recorded,
  comment_conflicts.read,
  comment_conflicts.text,
  comment_conflicts."start",
  comment_conflicts."end",
  comment_conflicts.rule,
  outcomes.inspector_id,
  outcomes.comment
from comment_conflicts
join outcomes using (observation_id)
where true
    /* within.sql */
order by comment_conflicts.observation_id, comment_conflicts.measure
