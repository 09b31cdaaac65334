-- Rows that Python has read (arrived: text, with row_no) into received. $file_no: their file; $document: whether pydantic
-- checks them.
insert into received by name select $file_no as file_no, $document as document, * from arrived
