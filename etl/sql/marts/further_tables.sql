-- The further tables of a warehouse, made empty where they are not there yet: in a new warehouse, and in a snapshot of
-- an earlier version that a load builds on. Null: not recorded.

-- second_looks: a person's look at an observation, one row a look; the newest stands (standing_looks.sql). The
-- observation may be gone since; the look then finds nothing and stays.
create table if not exists second_looks (
    report_id varchar, observation_no varchar, observation_id varchar, looked_by varchar, looked_on date,
    chosen varchar, ruling varchar, reason varchar
);

-- rounds: what one inspector called one item of a calibration round, on one topic. observation_id: where the item came
-- from; known_verdict: what it is known to be.
create table if not exists rounds (
    round_id varchar, held_on date, item_id varchar, topic varchar, inspector_id varchar, call varchar,
    observation_id varchar, known_verdict varchar
);

-- sessions: one inspector at one training session, by topic.
create table if not exists sessions (
    session_id varchar, held_on date, topic varchar, inspector_id varchar, hours decimal(12, 6)
);

-- staff: an inspector.
create table if not exists staff (
    inspector_id varchar, display_name varchar, started_on date, office varchar, role varchar
);

-- catalogs: since when each version of the catalog has judged, and by which load first; carried from snapshot to snapshot.
-- One that comes back after another stands twice. What is stored is always judged by the newest.
create table if not exists catalogs (
    catalog varchar, code_basis varchar, load_id varchar, first_used_at timestamp
);

-- comment_reads: a value that was read out of an observation's comment, in the measure's unit, with the words that it was
-- read from: the comment's characters from start up to, not including, end; and the rule that read it.
create table if not exists comment_reads (
    observation_id varchar, measure varchar, value varchar, text varchar, "start" integer, "end" integer, rule varchar
);

-- refused: input_table says of which input table a refused row is.
alter table refused add column if not exists input_table varchar default 'observations';
