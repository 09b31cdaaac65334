-- A value that a comment states other than it was recorded, one row each. recorded_values: observation_id, measure and
-- what was recorded, as text. Lengths that differ by 1/32 in or less are one: a comment rounds.
create or replace table comment_conflicts as
select
    observation_id, comment_reads.measure, recorded_values.recorded, comment_reads.value as read,
    comment_reads.text, comment_reads."start", comment_reads."end", comment_reads.rule
from comment_reads
inner join recorded_values using (observation_id, measure)
where
    case
        when try_cast(recorded_values.recorded as decimal(12, 6)) is not null
            and try_cast(comment_reads.value as decimal(12, 6)) is not null
            then abs(recorded_values.recorded::decimal(12, 6) - comment_reads.value::decimal(12, 6)) > 0.03125
        else recorded_values.recorded <> comment_reads.value
    end
