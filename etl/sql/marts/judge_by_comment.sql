-- The rows that their comments decide, or of which these leave less open (by_comment), in the place of what the
-- recorded measures alone said of them. measured stays: whether something was recorded.
update recorded
set
    verdict = by_comment.verdict,
    criterion_id = by_comment.criterion_id,
    basis = by_comment.basis,
    outcome = by_comment.outcome,
    reason = by_comment.reason,
    missing = by_comment.missing,
    recorded = by_comment.recorded,
    second_look = by_comment.second_look
from by_comment
where recorded.observation_id = by_comment.observation_id
