-- What was judged anew takes the place of what was recorded and judged before; verdicts_before keeps what was said then.
drop view unjudged;

create or replace temp table verdicts_before as select observation_id, verdict from recorded;

drop table recorded;

alter table judged_anew rename to recorded
