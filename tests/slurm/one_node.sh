#!/usr/bin/env bash
# A Slurm of one node in a folder of its own, for tests: no systemd, no root needed, daemons on loopback only.
#
#   one_node.sh DIR     starts it, says "ready" and keeps it up until standard input ends, then stops it
#
# So it goes down with whoever holds the other end of its input. Commands find it by SLURM_CONF=DIR/slurm.conf.
set -euo pipefail
dir=$(realpath "$1")
host=$(hostname -s)
export PATH=$PATH:/usr/sbin:/sbin

stop() {
  printf 'one_node: %s\n' "$1" >&2
  tail -n 5 "$dir"/*.log >&2 2>/dev/null || true
  exit 1
}
for needed in munged slurmctld slurmd sbatch; do
  command -v "$needed" >/dev/null || stop "$needed is missing; tools/install.sh installs slurm-wlm and munge"
done

end_daemons() {
  local file pid
  for file in slurmd slurmctld munged; do
    pid=$(cat "$dir/$file.pid" 2>/dev/null) || continue
    kill "$pid" 2>/dev/null || continue
    for _ in $(seq 50); do kill -0 "$pid" 2>/dev/null || continue 2; sleep 0.1; done
    kill -KILL "$pid" 2>/dev/null || true
  done
}
trap end_daemons EXIT

# Two ports that are free now.
read -r control node < <(/usr/bin/python3 -c '
import socket
held = [socket.socket() for _ in range(2)]
for s in held: s.bind(("127.0.0.1", 0))
print(*(s.getsockname()[1] for s in held))')

chmod 711 "$dir" # munge wants its socket to be within reach of all
mkdir -p -m 711 "$dir"/{munge,state,spool}
(umask 077; head -c 1024 /dev/urandom >"$dir/munge/munge.key"; chmod 400 "$dir/munge/munge.key")
cat >"$dir/slurm.conf" <<CONF
ClusterName=one
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=$control
SlurmdPort=$node
CommunicationParameters=NoCtldInAddrAny,NoInAddrAny
SlurmUser=$(id -un)
SlurmdUser=$(id -un)
AuthType=auth/munge
AuthInfo=socket=$dir/munge/munge.sock
StateSaveLocation=$dir/state
SlurmdSpoolDir=$dir/spool
SlurmctldPidFile=$dir/slurmctld.pid
SlurmdPidFile=$dir/slurmd.pid
SlurmctldLogFile=$dir/slurmctld.log
SlurmdLogFile=$dir/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/affinity
JobAcctGatherType=jobacct_gather/linux
AccountingStorageType=accounting_storage/none
MpiDefault=none
MailProg=/bin/true
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
ReturnToService=2
MinJobAge=600
KillWait=2
${ONE_NODE_MORE:-}
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$dir/slurm.conf

munged --key-file="$dir/munge/munge.key" --socket="$dir/munge/munge.sock" --pid-file="$dir/munged.pid" \
  --log-file="$dir/munged.log" --seed-file="$dir/munge/munge.seed" || stop "munged does not start"
munge -n --socket="$dir/munge/munge.sock" | unmunge --socket="$dir/munge/munge.sock" >/dev/null || stop "munge does not answer"
slurmctld || stop "slurmctld does not start"
slurmd || stop "slurmd does not start"
for _ in $(seq 100); do
  if [ "$(sinfo -h -o %T 2>/dev/null)" = idle ]; then up=yes; break; fi
  sleep 0.1
done
[ "${up:-}" = yes ] || stop "the node does not come up: $(sinfo -h -o '%T %E' 2>&1)"

# Nothing listens to the network: 0100007F is 127.0.0.1.
for port in "$control" "$node"; do
  at=$(awk -v port="$(printf ':%04X' "$port")" '$4 == "0A" && index($2, port) { print $2 }' /proc/net/tcp /proc/net/tcp6)
  [ "$at" = "0100007F$(printf ':%04X' "$port")" ] || stop "a daemon listens at \"$at\", not on loopback only"
done

echo ready
cat >/dev/null
