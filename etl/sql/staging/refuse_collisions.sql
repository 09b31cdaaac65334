-- Two reports whose ids make one observation_id (A:1 with 2, and A with 1:2): it could not be told which is meant.
-- Every row of such a pair holds a colon in one of the parts. Rows of other reports in the warehouse count too.
insert into rejected by name
with ids as (
    select report_id || ':' || observation_no as id, report_id from staged
    where contains(report_id, ':') or contains(observation_no, ':')
    union
    select observation_id, report_id from recorded anti join staged using (report_id)
    where contains(report_id, ':') or contains(observation_no, ':')
),
shared as (
    select id from ids group by id having count(distinct report_id) > 1
)
select
    staged.raw_id, staged.file_no, staged.report_id, staged.observation_no,
    ['duplicate_observation: report ' || staged.report_id || ' and observation ' || staged.observation_no
        || ' make the id ' || shared.id || ', and so do those of another report; give one of them an id without a colon'] as reasons
from staged
inner join shared on staged.report_id || ':' || staged.observation_no = shared.id
where staged.raw_id is not null and (contains(staged.report_id, ':') or contains(staged.observation_no, ':'))
