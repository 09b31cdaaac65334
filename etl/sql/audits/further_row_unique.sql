-- A row of a further table stands once by its key.
select 'second_looks' as input_table from second_looks group by report_id, observation_no, looked_by, looked_on having count(*) > 1
union all
select 'rounds' from rounds group by round_id, item_id, topic, inspector_id having count(*) > 1
union all
select 'sessions' from sessions group by session_id, topic, inspector_id having count(*) > 1
union all
select 'staff' from staff group by inspector_id having count(*) > 1
