-- What was judged anew takes the place of what was recorded and judged before.
drop view unjudged;

drop table recorded;

alter table judged_anew rename to recorded
