-- Rows of one observation_id with different content: which of them is right is not known.
insert into rejected by name
select
    staged.raw_id, staged.file_no, staged.report_id, staged.observation_no,
    ['duplicate_observation: observation ' || staged.observation_no || ' of report ' || staged.report_id
        || ' stands more than once in this load, with different content; keep the right one'] as reasons
from staged
inner join repeats using (report_id, observation_no)
where staged.raw_id is not null and not repeats.same
