UPDATE inbox SET body = $2 WHERE seq = $1
