-- An observation that was looked at again has a ruling of one of its newest looks for its verdict, and no other is said to.
with newest as (
    select report_id, observation_no, looked_on, ruling from second_looks
    qualify rank() over (partition by report_id, observation_no order by looked_on desc) = 1
),
said as (
    select observation_id, verdict, report_id, observation_no
    from (select observation_id, verdict from outcomes where basis = 'second_look')
    join (select observation_id, report_id, observation_no from recorded) using (observation_id)
)
select observation_id from said
anti join newest
    on said.report_id = newest.report_id and said.observation_no = newest.observation_no and said.verdict = newest.ruling
union all
select recorded.observation_id from recorded
semi join newest using (report_id, observation_no)
anti join said using (observation_id)
