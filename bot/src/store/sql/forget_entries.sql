-- $1 source, $2 message. The history keeps no room: a message id is taken to name one message of its platform.
UPDATE entries
SET text = ''
WHERE message_id = $2
  AND case_id IN (SELECT id FROM cases WHERE source = $1)
