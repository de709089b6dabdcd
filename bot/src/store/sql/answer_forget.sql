-- $1 platform, $2 message. The message was taken back: so is the answer, unless it has its mark.
UPDATE challenge_answers
SET body = '{"causes":[]}', why = '', message_id = NULL,
    state = CASE WHEN mark IS NULL THEN 'withdrawn' ELSE state END
WHERE message_id IS NOT NULL AND source = $1 AND message_id = $2
