-- An observation_id stands once.
select observation_id from observations group by observation_id having count(*) > 1
