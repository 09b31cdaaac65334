-- How the reports that the warehouse will hold after this load tell of what was passed: explicit, implied, or both.
select distinct coalesce(passes, 'explicit') as passes from staged
union
select distinct coalesce(passes, 'explicit') as passes from recorded anti join staged using (report_id)
