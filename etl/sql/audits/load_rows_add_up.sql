-- Each row read was counted once.
select load_id, file from loads where rows_read <> rows_loaded + rows_replaced + rows_unchanged + rows_rejected
