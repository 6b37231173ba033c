#!/usr/bin/env bash
# The README's lines for a second screen, tried with a real sshd and a real MQTT
# broker, neither of which opens a port: what comes out at the far end must be,
# byte for byte, what the watch printed.
#   bash cmd/fillwright/testdata/second.sh FILLWRIGHT
set -euo pipefail
fillwright="$(realpath "$1")"
dir="$(mktemp -d)"
pids=()
finish() {
  for pid in "${pids[@]}"; do kill "$pid" 2>/dev/null || true; done
  rm -rf "$dir"
}
trap finish EXIT
cd "$dir"

ssh-keygen -q -t ed25519 -N '' -f host
ssh-keygen -q -t ed25519 -N '' -f user
cp user.pub authorized
cat > sshd.conf <<END
HostKey $dir/host
AuthorizedKeysFile $dir/authorized
StrictModes no
UsePAM no
PasswordAuthentication no
END
mkdir -p /run/sshd
mkfifo wire json
cat > mosquitto.conf <<END
listener 0 $dir/broker
allow_anonymous true
user $(id -un)
END
mosquitto -c mosquitto.conf > broker.log 2>&1 &
pids+=($!)

# until COMMAND...: waits for a condition, for half a minute at most.
until_so() {
  for _ in $(seq 300); do
    if "$@"; then return 0; fi
    sleep 0.1
  done
  echo "never came to be: $*" >&2
  return 1
}
lines() { [ -e "$1" ] && [ "$(wc -l < "$1")" -ge "$2" ]; }

until_so test -S broker
"$fillwright" watch --demo --json --log today.fill > watch.json 2> watch.err &
pids+=($!)
watch=$!
until_so test -s today.fill
mosquitto_sub --unix "$dir/broker" -t range/fill > heard.json &
pids+=($!)
until_so grep -q 'as auto-' broker.log

ssh -o ProxyCommand="/usr/sbin/sshd -i -f $dir/sshd.conf" -o StrictHostKeyChecking=no -o UserKnownHostsFile=/dev/null -o LogLevel=ERROR \
  -i "$dir/user" pad tail -c +1 -f "$dir/today.fill" > wire 2> ssh.err &
pids+=($!)
"$fillwright" watch --from - --json < wire > ssh.json 2> from.err &
pids+=($!)
"$fillwright" watch --from today.fill --json --every 1s > json 2> mqtt.err &
pids+=($!)
mosquitto_pub --unix "$dir/broker" -t range/fill -l < json &
pids+=($!)

until_so lines ssh.json 60
until_so lines heard.json 3
kill "$watch"
wait "$watch" || true
sleep 1.5
grep -v 'nothing has come' ssh.json > ssh.now || true
head -n "$(wc -l < ssh.now)" watch.json | cmp - ssh.now
grep -v 'nothing has come' heard.json | while IFS= read -r line; do
  grep -qxF -- "$line" watch.json || { echo "heard, and not in the watch: $line" >&2; exit 1; }
done
echo "over ssh $(wc -l < ssh.now) lines, over MQTT $(wc -l < heard.json): as the watch printed them"
