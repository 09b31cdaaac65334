-- A fact that a row leaves blank and another row of its report has: the row gets it.
update staged
set
    property_id = coalesce(staged.property_id, report_facts.property_id),
    code_basis = coalesce(staged.code_basis, report_facts.code_basis),
    passes = coalesce(staged.passes, report_facts.passes)
from report_facts
where staged.report_id = report_facts.report_id and report_facts.partial
