-- Not a query: the code that a case bears in a case pack, put in place of the comment that names this file. It says
-- nothing of the report, and from it the snapshot finds the case again.
'K-' || upper(left(sha256(observation_id), 10))
