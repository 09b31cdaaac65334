-- The trials' rows add up to the observations.
select trial_rows from (select coalesce(sum(rows), 0) as trial_rows from trials)
where trial_rows <> (select count(*) from observations)
