-- Rows that do not agree on their report's facts. Which of them is right is not known, so all rows read are refused;
-- where rows of an earlier load stand beside them (mending), only those that differ from these.
insert into rejected by name
with kept as (
    select distinct report_id, inspected_on, inspector_id, region, property_id, code_basis, passes
    from staged where raw_id is null
)
select
    staged.raw_id, staged.file_no, staged.report_id, staged.observation_no,
    ['report_disagrees: in report ' || staged.report_id || ' ' || array_to_string(report_facts.disagrees, ' and ')
        || '; correct the wrong rows'] as reasons
from staged
inner join report_facts on staged.report_id = report_facts.report_id and len(report_facts.disagrees) > 0
left join kept on staged.report_id = kept.report_id
where
    staged.raw_id is not null
    and (
        kept.report_id is null
        or staged.inspected_on <> kept.inspected_on
        or staged.inspector_id <> kept.inspector_id
        or staged.region <> kept.region
        or staged.property_id <> kept.property_id
        or staged.code_basis <> kept.code_basis
        or staged.passes <> kept.passes
    )
