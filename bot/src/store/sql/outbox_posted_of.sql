-- $1 platform, $2 person. What stands in rooms of challenges of their sets: a message set going by a coach
-- that belongs to no case and is known by them.
SELECT body, platform_message_id FROM outbox
WHERE source = $1 AND person_id = $2 AND purpose = 'coach' AND case_id IS NULL
  AND state = 'sent' AND platform_message_id IS NOT NULL
ORDER BY seq
