-- $1, $2 key. The event's content is not kept; its name is, so that a repeat is known.
UPDATE inbox SET body = '{}', last_error = NULL WHERE source = $1 AND id = $2
