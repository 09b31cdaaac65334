-- Not a query: the conditions of the eight filters, put in place of the comment that names this file.
-- A null filter is no condition; a blank region, builder or age is the text 'unknown'.
and ($first_day::date is null or inspected_on >= $first_day::date)
and ($last_day::date is null or inspected_on <= $last_day::date)
and ($regions::varchar[] is null or list_contains($regions::varchar[], region))
and ($builders::varchar[] is null or list_contains($builders::varchar[], builder))
and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
and ($deck_ages::varchar[] is null or list_contains($deck_ages::varchar[], deck_age))
and ($inspectors::varchar[] is null or list_contains($inspectors::varchar[], inspector_id))
and ($loads::varchar[] is null or report_id in (
  select report_id from reports where list_contains($loads::varchar[], load_id)
))
