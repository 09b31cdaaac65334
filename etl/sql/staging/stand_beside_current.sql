-- Mending: what the reports of the load hold already, but for the rows that come anew, counts as theirs too.
-- kept_rows: the observations of the warehouse, as stored.
insert into staged by name
select kept_rows.* from kept_rows
semi join (select distinct report_id from staged) as came using (report_id)
anti join staged as newer using (report_id, observation_no)
