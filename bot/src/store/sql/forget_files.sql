-- $1 source, $2 message.
DELETE FROM case_files WHERE source = $1 AND message_id = $2
