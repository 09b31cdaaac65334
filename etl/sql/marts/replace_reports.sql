-- The reports of this load in place of their earlier versions.
delete from reports where report_id in (select report_id from report_status where status <> 'unchanged');

insert into reports by name
select
    staged.report_id,
    any_value(staged.inspected_on) as inspected_on,
    any_value(staged.inspector_id) as inspector_id,
    any_value(staged.region) as region,
    any_value(staged.property_id) as property_id,
    any_value(staged.code_basis) as code_basis,
    any_value(report_status.version) as version,
    any_value(coming.load_id) as load_id,
    any_value(coming.loaded_at) as loaded_at
from staged
inner join report_status on staged.report_id = report_status.report_id and report_status.status <> 'unchanged'
cross join coming
group by staged.report_id
