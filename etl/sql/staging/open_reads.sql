-- The values read for rows that nothing recorded decides. judged_rows: observation_id and criterion_id, null where
-- nothing was decided. An engineer's letter stands above a rule, so a row whose comment tells of one is open, too.
create or replace temp table open_reads as
select observation_id, measure, value
from comment_reads
inner join judged_rows using (observation_id)
where
    criterion_id is null
    or (observation_id in (select observation_id from comment_reads where measure = 'engineer_letter' and value = 'true')
        and measure = 'engineer_letter')
