# Turns vectors.csv into the table that vectors_avr.c includes.
BEGIN {
	FS = ","
	split("crc cobs frame damaged oversize nothing body-short body-range body-version stream joined", names, " ")
	for (i in names) { macro = toupper(names[i]); gsub("-", "_", macro); known[names[i]] = macro }
	print "static const uint8_t bytes[] PROGMEM = {"
}
function emit(hex,    i) {
	for (i = 1; i < length(hex); i += 2) printf "0x%s,", substr(hex, i, 2)
	return length(hex) / 2
}
/^#/ || $1 == "name" { next }
!($2 in known) { print "#error row " NR " is of an unknown kind"; next }
{
	at_wire = total; n_wire = emit($3); total += n_wire
	at_again = total; n_again = emit($5); total += n_again
	print ""
	counts = "{0}"
	if ($2 == "crc") counts = "{" $4 "}"
	if ($2 == "stream" || $2 == "joined") {
		counts = $4
		gsub(/[a-z]+=/, "", counts); gsub(" ", ",", counts)
		counts = "{" counts "}"
	}
	rows[++n] = sprintf("\t{%d, %s, %d, %d, %d, %d, %s},", NR, known[$2], at_wire, n_wire, at_again, n_again, counts)
}
END {
	print "0};"
	print "static const row table[] PROGMEM = {"
	for (i = 1; i <= n; i++) print rows[i]
	print "};"
	print "#define ROWS " n "u"
}
