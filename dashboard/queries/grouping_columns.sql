-- Not a query: what a row of grouping sets over decks is grouped by, and which group it is; put into a `select` in place
-- of the comment that names this file. No group is null: a blank is 'unknown'.
case
  when builder is not null then 'builder'
  when region is not null then 'region'
  when deck_height is not null then 'deck_height'
  else 'deck_age'
end as "by",
coalesce(builder, region, deck_height, deck_age) as "group",
