-- $1 source, $2 message
UPDATE entries
SET text = ''
WHERE message_id = $2
  AND case_id IN (SELECT id FROM cases WHERE source = $1)
