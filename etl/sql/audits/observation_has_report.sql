-- Every observation belongs to a report, and every report has an observation.
select report_id from observations anti join reports using (report_id)
union all
select report_id from reports anti join observations using (report_id)
