#!/usr/bin/env bash
# Every check of the logger's firmware, by one command, from anywhere:
#   bash firmware-protocol/logger/check.sh
# It needs gcc-avr, avr-libc, binutils-avr, libsimavr-dev, libelf-dev, cppcheck,
# gcc, make and Go (.ci/run installs them), some 90 s, and writes nothing into
# the tree. KEEP=folder keeps what it made.
set -euo pipefail
here="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)"
root="$(cd "$here/../.." && pwd)"
work="${KEEP:-$(mktemp -d)}"
mkdir -p "$work"
children=()
clean() {
  local p
  for p in "${children[@]}"; do kill "$p" 2>/dev/null || true; done
  [ -n "${KEEP:-}" ] || rm -rf "$work"
}
trap clean EXIT

say() { printf '\n-- %s\n' "$*"; }
fail() {
  printf 'FAILED: %s\n' "$*" >&2
  exit 1
}
# within TEXT LEAST MOST: a number that a build may not outgrow
within() { [ "$2" -le "$3" ] || fail "$1 is $2, at most $3"; }

board=0x51A4C0DE00000001
plover="$root/testdata/plover.toml"
flash_most=32256 # 32 KiB less a bootloader of 512 bytes
ram_most=2048

say "firmware, every warning an error"
make -s -C "$here" BUILD="$work/build" BOARD="$board" | sed '/^avr-/d'
read -r text data bss < <(avr-size "$work/build/logger.elf" | awk 'NR == 2 { print $1, $2, $3 }')
printf 'flash %d of %d bytes, memory %d of %d bytes before the stack\n' $((text + data)) $flash_most $((data + bss)) $ram_most
within "the flash" $((text + data)) $flash_most
make -s -C "$here" BUILD="$work/wrap" BOARD="$board" CLOCK_FROM=4294960000 >/dev/null

say "bench"
gcc -std=gnu11 -O2 -Wall -Wextra -Werror -o "$work/bench" "$here"/simulator/*.c -lsimavr -lelf -lm -lutil
gcc -std=c99 -O2 -Wall -Wextra -Werror -pedantic -I"$here/.." -I"$here/simulator" -o "$work/compare" "$here/checks/compare.c" \
  "$here"/simulator/{scenario,type_k}.c "$here/../fillwire.c" -lm
(cd "$root" && go build -o "$work/fillwright" ./cmd/fillwright)
cd "$work"
rm -f ./*.fill
./fillwright mimic --offline --log invented.fill --truth truth.csv --truth-every 100ms --scene calm --seed 7 --ramp "40 bar/min" 2>/dev/null
# sim NAME ARGS...: a run of the bench as fast as it goes, behind those that keep
# time with the clock, and without what the simulator's library prints
sim() {
  local name="$1"
  shift
  nice -n 10 ./bench --scenario truth.csv "$@" >"$name.log" 2>&1 || { cat "$name.log"; return 1; }
}
# worst NAME: its last line; the loop has to be done within the shortest period
worst() {
  grep 'worst loop' "$1.log"
  awk '/worst loop/ { sub(/.*worst loop /, ""); exit !($1 < 10) }' "$1.log" || fail "the loop takes longer than the shortest period, 10 ms"
}

# watched NAME ARGS...: the fill and the first of the hold, watched, advised and
# recorded through a pseudo-terminal, at the clock's own pace: fillwright trusts
# no logger whose clock runs away.
live_s=85
watched() {
  local name="$1" bench watch
  shift
  ./bench --scenario truth.csv --firmware build/logger.elf --pty "$name.port" --speed 1 --for "$live_s" "$@" >"$name.log" 2>&1 & bench=$!
  for _ in $(seq 200); do [ -L "$name.port" ] && break; sleep 0.05; done
  ./fillwright watch --port "$name.port" --vessel "$plover" --log "$name.fill" --plain >"$name.txt" 2>"$name.err" & watch=$!
  wait "$bench" || { cat "$name.log"; kill "$watch"; return 1; }
  sleep 1
  kill -INT "$watch"
  wait "$watch" || { cat "$name.err"; return 1; }
}
# told FILE: the advice in it, each once
told() {
  grep -hoE '(FILL at most|KEEP SHUT|SHUT THE SUPPLY;|EMPTYING|MAY TOP UP).{0,60}' "$1" | awk '$1 $2 != last { print "  " $0 } { last = $1 $2 }' | head -n 8
}
# seen NAME PERIOD_MS: what came of it
seen() {
  ./compare "$1.fill" truth.csv "$2" "$live_s"
  ./fillwright logger check "$1.fill" >"$1.check" || { cat "$1.check"; fail "the recorded fill $1"; }
  grep -E 'seq.counts|sample.gaps|^[0-9]+ rules' "$1.check"
  grep -qE 'FILL at most' "$1.txt" || { tail -n 20 "$1.txt"; fail "no advice was given in $1"; }
  told "$1.txt"
}
# whole NAME PERIOD_MS: a whole fill as fast as it goes, against the scenario, and replayed
whole() {
  worst "$1"
  ./compare "$1.bin" truth.csv "$2" 1020
  ./fillwright replay "$1.bin" --vessel "$plover" --plain --every 10s >"$1.replay" 2>"$1.err" || { cat "$1.err"; fail "the replay of $1"; }
  grep -q 'FILL at most' "$1.replay" || fail "no advice in the replay of $1"
  told "$1.replay"
}

# These take long, so they go beside the rest.
./bench --scenario truth.csv --firmware build/logger.elf --commands "$here/checks/asked.txt" --pty port --speed 1 --for 60 >asked.log 2>&1 &
children+=($!)
./fillwright mimic --tcp 127.0.0.1:0 --restart-at 8s >mimic.addr 2>/dev/null &
children+=($!)
for _ in $(seq 200); do [ -L port ] && [ -s mimic.addr ] && break; sleep 0.05; done
./fillwright logger check --port port --press >asked.txt 2>&1 & asked=$!
./fillwright logger check --tcp "$(cat mimic.addr)" >mimic.txt 2>&1 & mimic=$!
printf '0.1 say 0005410150c301036d8100\n' >rate50.txt # set-rate, 50 Hz
watched live50 --commands rate50.txt & fifty=$!
watched live20 & twenty=$!
children+=("$asked" "$mimic" "$fifty" "$twenty")

say "cppcheck"
cppcheck --version
quiet=(--enable=warning,style,performance,portability --error-exitcode=1 --quiet --suppress=missingIncludeSystem)
cppcheck "${quiet[@]}" --std=c99 --platform=avr8 -I"$here" -I"$here/.." -DF_CPU=16000000UL -D__AVR_ATmega328P__ \
  '-DEMPTY_INTERRUPT(x)=' "$here"/*.c "$here/../fillwire.c"
cppcheck "${quiet[@]}" --std=c11 -I"$here/.." -I"$here/simulator" "$here"/simulator/*.c "$here"/checks/{compare,fuzz}.c
echo "nothing found"

say "C decoder on the host, sanitizers, rubbish"
strict=(-std=c99 -Wall -Wextra -Werror -pedantic -Wconversion)
gcc "${strict[@]}" -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -I"$here/.." -o "$work/fuzz" \
  "$here/checks/fuzz.c" "$here/../fillwire.c"
nice -n 10 "$work/fuzz" 1 50000
nice -n 10 "$work/fuzz" "$((RANDOM * 32768 + RANDOM))" 50000

say "the table of vectors on the controller"
awk -f "$here/checks/rows.awk" "$here/../vectors/vectors.csv" >rows.h
avr-gcc "${strict[@]}" -Os -mmcu=atmega328p -DF_CPU=16000000UL -ffunction-sections -fdata-sections -Wl,--gc-sections \
  -I"$here/.." -I. -o vectors.elf "$here/checks/vectors_avr.c" "$here/../fillwire.c"
sim vectors --firmware vectors.elf --out vectors.txt --for 10
cat vectors.txt
rows="$(grep -vc -e '^#' -e '^name,' "$here/../vectors/vectors.csv")"
grep -qx "$rows rows, 0 wrong" vectors.txt || fail "the codec on the controller differs from the $rows rows of the table"

say "the fastest it does, 100 samples a second"
printf '0.1 say 00064101a08601034cdb00\n' >rate100.txt
sim fill100 --firmware build/logger.elf --commands rate100.txt --out fill100.bin --for 60
worst fill100
./compare fill100.bin truth.csv 10 60
./fillwright logger check fill100.bin >fill100.check || { cat fill100.check; fail "100 samples a second"; }

say "every fault, by command, and what fillwright calls it"
sim faults --firmware build/logger.elf --commands "$here/checks/faults.txt" --out faults.bin --for 140
worst faults
./fillwright replay faults.bin --vessel "$plover" --plain --every 10s >faults.txt 2>faults.err || [ $? -eq 3 ]
while IFS='|' read -r what pattern; do
  case "$what" in '' | \#*) continue ;; esac
  grep -qE "$pattern" faults.txt faults.err || fail "$what: nothing matches \"$pattern\""
  printf '  %-34s %s\n' "$what" "$(grep -hoE "$pattern" faults.txt faults.err | head -n 1)"
done <"$here/checks/named.txt"

say "a memory that does not hold the count of starts"
printf '1 memory broken\n2.02 reset pin\n' >memory.txt
sim memory --firmware build/logger.elf --commands memory.txt --out memory.bin --for 60
./fillwright logger check memory.bin >memory.check || { cat memory.check; fail "a start without a count"; }
grep -E 'hello.board|restart.first' memory.check

say "device time that wraps"
sim wrap --firmware wrap/logger.elf --out wrap.bin --for 20
./fillwright logger check wrap.bin >wrap.txt || { cat wrap.txt; fail "the wrap of the clock"; }
grep 'time.forward' wrap.txt

say "a whole fill at 20 and at 50 samples a second, against what the scenario set"
sim fill20 --firmware build/logger.elf --out fill20.bin
echo "20 Hz:" && whole fill20 50
sim fill50 --firmware build/logger.elf --commands rate50.txt --out fill50.bin
echo "50 Hz:" && whole fill50 20

say "watched, advised and recorded live through a pseudo-terminal"
wait "$twenty" || fail "the watch at 20 Hz"
echo "20 Hz:" && seen live20 50
wait "$fifty" || fail "the watch at 50 Hz"
echo "50 Hz:" && seen live50 20

say "logger check: the firmware, the mimic, lines of text"
wait "$asked" || { cat asked.txt; fail "logger check of the firmware"; }
grep -qE '^38 rules: 38 right' asked.txt || { cat asked.txt; fail "logger check of the firmware leaves something open"; }
wait "$mimic" || { cat mimic.txt; fail "logger check of the mimic"; }
awk 'BEGIN {
  for (t = 0; t < 30000; t += 50) {
    if (t % 5000 == 0) print "time_ms,pressure_counts/4095,gas_nv,junction_mc"
    printf "%d,%d,%d,%d\n", 12340 + t, 410 + t / 500, 120000 + t, 24125
  }
}' >lines.txt
./fillwright logger check lines.txt >lines.check || { cat lines.check; fail "logger check of lines"; }
for f in asked.txt mimic.txt lines.check; do
  printf '%-12s' "$f" && grep -E '^[0-9]+ rules' "$f"
done
grep -E '^(left out|WRONG)' asked.txt mimic.txt lines.check || true

printf '\n-- all checks of the logger passed in %d s\n' "$SECONDS"
