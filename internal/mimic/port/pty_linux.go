package port

import "golang.org/x/sys/unix"

// unreadRequest asks a terminal how many bytes wait to be read.
const unreadRequest = unix.TIOCINQ
