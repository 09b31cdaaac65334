-- How many verdicts are other than before (recorded) under the rules of now (judged_anew).
select count(*) as flips
from recorded inner join judged_anew using (observation_id)
where recorded.verdict is distinct from judged_anew.verdict
