-- A report of the load with its facts: what its rows agree on. A blank says nothing, so it disagrees with nothing.
-- disagrees: what its rows do not agree on, a list of sentences; partial: some row leaves a fact blank that another has.
create or replace temp table report_facts as
with facts as (
    select
        report_id,
        min(inspected_on) as inspected_on, max(inspected_on) as inspected_on_too,
        min(inspector_id) as inspector_id, max(inspector_id) as inspector_id_too,
        min(region) as region, max(region) as region_too,
        min(property_id) as property_id, max(property_id) as property_id_too,
        min(code_basis) as code_basis, max(code_basis) as code_basis_too,
        min(passes) as passes, max(passes) as passes_too,
        count(property_id) not in (0, count(*)) or count(code_basis) not in (0, count(*))
        or count(passes) not in (0, count(*)) as partial
    from staged
    group by report_id
)
select
    report_id, inspected_on, inspector_id, region, property_id, code_basis, passes, partial,
    list_filter([
        case when inspected_on <> inspected_on_too then 'inspected_on is ' || inspected_on || ' and ' || inspected_on_too end,
        case when inspector_id <> inspector_id_too then 'inspector_id is ''' || inspector_id || ''' and ''' || inspector_id_too || '''' end,
        case when region <> region_too then 'region is ''' || region || ''' and ''' || region_too || '''' end,
        case when property_id <> property_id_too then 'property_id is ''' || property_id || ''' and ''' || property_id_too || '''' end,
        case when passes <> passes_too then 'passes is explicit and implied' end,
        case when code_basis <> code_basis_too then 'code_basis is ''' || code_basis || ''' and ''' || code_basis_too || '''' end
    ], lambda sentence: sentence is not null) as disagrees
from facts
