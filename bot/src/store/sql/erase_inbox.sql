-- Names of events stay, so that a late repeat is known and does nothing.
UPDATE inbox
SET body = '{}', room_id = '', person_id = '', message_id = NULL, last_error = NULL
WHERE state <> 'waiting' AND source = $1 AND person_id = $2
