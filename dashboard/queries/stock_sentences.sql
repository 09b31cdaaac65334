-- One row: a topic x stock sentence, over trials written up with it, in $least reports or more. text: as it is written
-- most often, with gaps (stock_text.sql).
-- A trial is judged, or overcalled, if any of its rows with the sentence is. Topics without a rule are never judged.
-- habits: an inspector x what was recorded, among the judged: however often a person puts the same sentence to the same
-- thing, that is one judgment.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with sentences as (
  select
    /* stock_text.sql */
    as text,
    topic,
    report_id,
    deck_id,
    inspector_id,
    inspected_on,
    recorded,
    counted_outcome
  from outcomes
  where call = 'written_up' and comment is not null
    /* within.sql */
),
used as (
  select
    topic,
    /* stock_key.sql */
    as sentence_id,
    report_id,
    deck_id,
    min(text) as text,
    any_value(inspector_id) as inspector_id,
    any_value(inspected_on) as inspected_on,
    min(coalesce(recorded, 'not recorded')) as recorded,
    bool_or(counted_outcome in ('upheld', 'overcalled')) as judged,
    bool_or(counted_outcome = 'overcalled') as overcalled
  from sentences
  group by all
)
select
  sentence_id,
  topic,
  arg_max(text, (alike, text)) as text,
  count(*) as uses,
  count(distinct report_id) as reports,
  count(distinct inspector_id) as inspectors,
  count(*) filter (where judged) as judged,
  count(*) filter (where overcalled) as overcalled,
  count(distinct (inspector_id, recorded)) filter (where judged) as habits,
  min(inspected_on) as first_seen,
  max(inspected_on) as last_seen
from (select *, count(*) over (partition by topic, text) as alike from used)
group by sentence_id, topic
having count(distinct report_id) >= $least
