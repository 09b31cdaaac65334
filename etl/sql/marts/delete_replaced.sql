-- Take the rows of the reports out that get a new version, and what was read out of their comments.
delete from comment_reads
where observation_id in (
    select observation_id from recorded where report_id in (select report_id from report_status where status = 'replaced')
);

delete from recorded where report_id in (select report_id from report_status where status = 'replaced')
