UPDATE message_marks SET marked_at = $1 WHERE marked_at IS NULL
