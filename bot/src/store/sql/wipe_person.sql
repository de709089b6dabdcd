-- $1, $2 key. Nothing of the event is kept but its name, so that a repeat is known.
UPDATE inbox
SET body = '{}', room_id = '', person_id = '', message_id = NULL, last_error = NULL
WHERE source = $1 AND id = $2
