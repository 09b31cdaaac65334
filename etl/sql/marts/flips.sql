-- How many verdicts are other than before (recorded) under the rules of now (judged_anew). Where a person looked again
-- the look stands, and nothing flips.
select count(*) as flips
from recorded inner join judged_anew using (observation_id)
anti join second_looks using (observation_id)
where recorded.verdict is distinct from judged_anew.verdict
