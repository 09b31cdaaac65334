-- The files of this load.
insert into loads by name
select coming.* exclude (mend), file_counts.* exclude (file_no) from file_counts cross join coming
