-- An observation_id that stands more than once in the load. same: its rows are equal in content.
create or replace temp table repeats as
with keys as (
    select report_id, observation_no from staged where raw_id is not null
    group by report_id, observation_no having count(*) > 1
),
contents as (
    select * exclude (raw_id, file_no) from staged semi join keys using (report_id, observation_no)
    where raw_id is not null
)
select report_id, observation_no, count(distinct contents) = 1 as same
from contents
group by report_id, observation_no
