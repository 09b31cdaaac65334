-- One row: what stands outside the trials: reports loaded, those with refused rows still missing, and refused rows.
-- No parameters.
select
  (select count(*) from reports) as reports,
  (select count(*) from reports where incomplete) as incomplete_reports,
  (select count(*) from refused) as refused_rows,
  (select count(*) from refused where load_id = (select max(load_id) from loads)) as refused_newest
