-- One row: a case that a pack may be drawn from, with its measures as recorded, in an order that the seed makes: draw.
-- item_id: the code that it bears in the pack. Left out are cases not seen or without a rule, those that the rule leaves
-- to the inspector, and defects passed over here that are written up at another place of the same deck.
-- $topic: one topic. $kinds: recorded kinds ('not recorded' where none); null for any. $seed: text that the order hangs on.
-- $most: how many cases of an inspector and an outcome at most.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with chosen as (
  select
    observation_id,
    /* item_code.sql */
    as item_id,
    sha256($seed || ' ' || observation_id) as draw,
    report_id,
    deck_id,
    inspector_id,
    topic,
    call,
    criterion_id,
    verdict,
    outcome,
    recorded,
    comment
  from outcomes
  where topic = $topic
    and outcome in ('upheld', 'overcalled', 'missed', 'understated', 'cleared', 'undecided')
    and ($kinds::varchar[] is null or list_contains($kinds::varchar[], coalesce(recorded, 'not recorded')))
    /* within.sql */
),

fair as (
  select chosen.*
  from chosen
  join trials using (report_id, deck_id, topic)
  where not (outcome in ('missed', 'understated') and trials.upheld)
  qualify row_number() over (partition by chosen.inspector_id, outcome order by draw) <= $most
)

select
  fair.*,
  observations.* exclude (
    observation_id, report_id, deck_id, inspector_id, topic, call, criterion_id, verdict, outcome, recorded, comment
  )
from fair
join observations using (observation_id)
order by draw
