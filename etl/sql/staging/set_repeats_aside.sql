-- All but the first of the rows that repeat an observation with equal content: read, and nothing new.
create or replace temp table set_aside as
select raw_id, file_no from staged
semi join repeats using (report_id, observation_no)
where raw_id is not null
qualify row_number() over (partition by report_id, observation_no order by raw_id) > 1
