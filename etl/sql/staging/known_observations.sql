-- The observations among those asked for (asked: report_id, observation_no) that the warehouse has after this load.
select report_id, observation_no from asked
semi join (
    select report_id, observation_no from staged
    union all
    select report_id, observation_no from recorded anti join staged using (report_id)
) as there using (report_id, observation_no)
