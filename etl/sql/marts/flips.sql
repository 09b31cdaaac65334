-- How many verdicts are other than before (verdicts_before) under the rules of now. Where a person looked again the look
-- stands, and nothing flips.
select count(*) as flips
from recorded inner join verdicts_before using (observation_id)
anti join second_looks using (observation_id)
where recorded.verdict is distinct from verdicts_before.verdict
