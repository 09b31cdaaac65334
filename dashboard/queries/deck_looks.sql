-- One row: a look (a seen trial that the rule does not leave to the inspector) at a topic among $looked_at, with the deck
-- as it stood (state; see deck_states.sql for it and for $most_days), what is known of it (null: nothing), who looked.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with /* deck_states.sql */
select topic, deck_id || ':' || state as state, known, deck_age, inspector_id, call
from looks
where list_contains($looked_at::varchar[], topic)
order by topic, deck_id, report_id
