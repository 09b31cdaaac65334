-- A report of the load: new, replaced (there already with other content) or unchanged, and its new version's number.
-- incoming_rows: the load's rows by the contract; current_rows: the same reports' rows in the warehouse.
create or replace temp table report_status as
with differing as (
    select distinct report_id from (
        (select * from incoming_rows semi join reports using (report_id) except select * from current_rows)
        union all
        (select * from current_rows except select * from incoming_rows)
    ) as changed
)
select
    report_id,
    case
        when reports.report_id is null then 'new'
        when differing.report_id is null then 'unchanged'
        else 'replaced'
    end as status,
    coalesce(reports.version, 0) + 1 as version
from (select distinct report_id from staged) as came
left join reports using (report_id)
left join differing using (report_id)
