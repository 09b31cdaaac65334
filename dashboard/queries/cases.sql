-- One row: an observation behind a mark, newest first; its columns: case_columns.sql.
-- $by and $group: decks of one group only (deck_age, builder, region, deck_height and its value); null for all decks.
-- $calls, $outcomes, $kinds: lists of calls, outcomes and recorded kinds ('not recorded' where none); null for any. The
-- outcomes are those that the number counts, so that a case whose second look was chosen stands where the rule puts it.
-- $sentence: a stock sentence of a topic (stock_key.sql); null for all.
-- $only: this observation alone, if it is behind the mark; null for all.
-- $first: outcomes that come before the others, whatever their day; null for none.
-- $most, $skip: how many rows at most, after how many that are passed over.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select /* case_columns.sql */
from (select *, /* stock_text.sql */ as text from outcomes)
where true
    /* within.sql */
    and ($by::varchar is null or $group::varchar = case $by::varchar
    when 'deck_age' then deck_age
    when 'builder' then builder
    when 'region' then region
    when 'deck_height' then deck_height
  end)
    and ($calls::varchar[] is null or list_contains($calls::varchar[], call))
    and ($outcomes::varchar[] is null or list_contains($outcomes::varchar[], counted_outcome))
    and ($kinds::varchar[] is null or list_contains($kinds::varchar[], coalesce(recorded, 'not recorded')))
    and ($sentence::varchar is null or /* stock_key.sql */ = $sentence::varchar)
    and ($only::varchar is null or observation_id = $only::varchar)
order by
  coalesce(list_contains($first::varchar[], counted_outcome), false) desc,
  inspected_on desc,
  observation_id
limit $most
offset $skip
