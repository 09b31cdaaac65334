-- One row: a pair of looks at a topic: two reports by different inspectors on the same deck, at most $most_days apart.
-- The earlier look comes first; of two on the same day, the one whose report_id comes first in the alphabet. A deck with
-- three reports by three inspectors gives three pairs. Where one of the two did not see the topic there is no pair.
-- up: written up at any place. kind: both_up, earlier_only, later_only or neither.
-- verdict: of the trial; null where the topic has no rule.
-- $either_inspectors, $either_loads: at least one of the two looks is by one of them, or came in with one of them; null
-- for any. The other filters hold for both looks: null means no condition; a blank region, builder or age is the text
-- 'unknown'. $inspectors and $loads are null here.
with looks as (
  select report_id, deck_id, topic, inspector_id, inspected_on, call, call = 'written_up' as up, verdict
  from trials
  where seen and revisited
    /* within.sql */
)
select
  topic,
  deck_id,
  earlier.report_id as earlier_report_id,
  earlier.inspector_id as earlier_inspector_id,
  earlier.inspected_on as earlier_on,
  earlier.call as earlier_call,
  earlier.verdict as earlier_verdict,
  later.report_id as later_report_id,
  later.inspector_id as later_inspector_id,
  later.inspected_on as later_on,
  later.call as later_call,
  later.verdict as later_verdict,
  later.inspected_on - earlier.inspected_on as days_between,
  case
    when earlier.up and later.up then 'both_up'
    when earlier.up then 'earlier_only'
    when later.up then 'later_only'
    else 'neither'
  end as kind
from looks as earlier
inner join looks as later using (deck_id, topic)
where earlier.inspector_id <> later.inspector_id
  and (
    earlier.inspected_on < later.inspected_on
    or (earlier.inspected_on = later.inspected_on and earlier.report_id < later.report_id)
  )
  and later.inspected_on - earlier.inspected_on <= $most_days
  and (
    $either_inspectors::varchar[] is null
    or list_contains($either_inspectors::varchar[], earlier.inspector_id)
    or list_contains($either_inspectors::varchar[], later.inspector_id)
  )
  and (
    $either_loads::varchar[] is null
    or earlier.report_id in (select report_id from reports where list_contains($either_loads::varchar[], load_id))
    or later.report_id in (select report_id from reports where list_contains($either_loads::varchar[], load_id))
  )
order by later_on desc, deck_id, topic, earlier_report_id, later_report_id
