-- Take the rows of the reports out that get a new version.
delete from recorded where report_id in (select report_id from report_status where status = 'replaced')
