-- One row: everything that a filter can be set to, as sorted lists; first_day and last_day are null in an empty
-- snapshot. topics are those that occur; loads those that brought in a report as it now stands. No parameters.
select
  min(inspected_on) as first_day,
  max(inspected_on) as last_day,
  list_sort(list(distinct region)) as regions,
  list_sort(list(distinct builder)) as builders,
  list_sort(list(distinct inspector_id)) as inspectors,
  list(distinct deck_age) as deck_ages,
  list(distinct topic) as topics,
  (select list_sort(list(distinct load_id)) from reports) as loads
from trials
