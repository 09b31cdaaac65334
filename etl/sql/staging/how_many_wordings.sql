-- About how many different comments there are to read; counting a million of them exactly takes longer than it is worth.
select approx_count_distinct(topic || comment) from to_read
