package main

import "fillwright/internal/wire"

// logStartOf is the first frame of a log of some version.
func logStartOf(version uint8) []byte {
	return wire.AppendLogStart(nil, 0, wire.LogStart{Version: version, App: wire.MakeLabel("test")})
}
