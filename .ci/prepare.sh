# Sourced by .ci/run and .ci/long: what the machine lacks, copies of the tree to work in, and the steps with their times.
# Nothing a developer left behind counts: every command runs in a copy without ignored files, with no Haulm settings.
# Only what was compiled is kept between runs, apart for each version of its sources; without it a run takes longer.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
root=$PWD
export DEBIAN_FRONTEND=noninteractive PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_ROOT_USER_ACTION=ignore PIP_QUIET=1 PIP_NO_INPUT=1
unset PYTHONPATH VIRTUAL_ENV NUMBA_CACHE_DIR "${!HAULM_@}"
work=$(mktemp -d)
trap 'kill $(jobs -p) 2>/dev/null || true; rm -rf "$work"' EXIT
export XDG_DATA_HOME=$work/data
kept=${XDG_CACHE_HOME:-${HOME:-$work}/.cache}/haulm-ci
failed=()

install_missing() {
  local need=()
  compgen -G '/usr/lib/postgresql/*/bin/initdb' >/dev/null || command -v initdb >/dev/null || need+=(postgresql)
  command -v chromium >/dev/null || need+=(chromium)
  python3 -c 'import ensurepip, venv' 2>/dev/null || need+=(python3 python3-venv)
  ((${#need[@]})) || return 0
  printf '== installing %s\n' "${need[*]}"
  if ! command -v apt-get >/dev/null || ((EUID != 0)); then
    printf 'Please install these first: %s\n' "${need[*]}" >&2
    exit 1
  fi
  # The tests start a cluster of their own: keep Debian from making and starting another.
  mkdir -p /etc/postgresql-common
  [ -e /etc/postgresql-common/createcluster.conf ] ||
    echo 'create_main_cluster = false' >/etc/postgresql-common/createcluster.conf
  apt-get update -qq </dev/null
  apt-get install -y -qq --no-install-recommends "${need[@]}" </dev/null >/dev/null
}

# copy_tree NAME: the tree as it stands, without what .gitignore names, as $work/NAME.
copy_tree() {
  mkdir "$work/$1"
  tar -C "$root" -c --exclude=./.git --exclude-from=<(sed -e '/^#/d;/^$/d' -e 's:/$::' .gitignore) . | tar -C "$work/$1" -x
}

# run_all NAME: runs the commands on stdin, one a line, in the copy NAME; `! command` must refuse in one line that
# says what to install.
run_all() {
  local command
  while IFS= read -r command <&3; do
    printf '\n== [%4d s] %s\n' "$SECONDS" "$command"
    if [[ $command == '! '* ]]; then
      (cd "$work/$1" && refuses "${command#! }") </dev/null || failed+=("$command")
    else
      (cd "$work/$1" && bash -euo pipefail -c "$command") </dev/null || failed+=("$command")
    fi
  done 3<&0
}

# bring_compiled NAME, keep_compiled NAME: what the match was compiled to, into the copy NAME and out of it again, where
# no step failed. The compiler calls its own folder after the path of the sources, which is another in every run.
bring_compiled() {
  local to=$work/$1/service/haulm/matching/one_pass/__pycache__ found
  compgen -G "$kept/compiled-*/kept" >/dev/null || return 0
  mkdir -p "$to"
  cp -R "$kept"/compiled-* "$to/" || rm -rf "$to"/compiled-*
  for found in "$to"/compiled-*/kept; do
    [ ! -d "$found" ] || mv "$found" "${found%/*}/matching_$(printf %s "${to%/*}" | sha1sum | cut -d' ' -f1)"
  done
}

keep_compiled() {
  local from=$work/$1/service/haulm/matching/one_pass/__pycache__ found new
  ((${#failed[@]} == 0)) && mkdir -p "$kept" 2>/dev/null && new=$(mktemp -d "$kept/new-XXXXXX" 2>/dev/null) || return 0
  for found in "$from"/compiled-*/matching_*; do
    [ -d "$found" ] && cp -R "$found" "$new/kept" || continue
    found=$kept/$(basename "${found%/*}")
    rm -rf "$kept"/compiled-* && mv "$new" "$found" && return 0
  done
  rm -rf "$new"
}

# ask_demo SERVICE CLIENT: serves the demo from the copy SERVICE and runs the commands on stdin in the copy CLIENT.
ask_demo() {
  local demo address='' said=$work/demo.txt patience=$((SECONDS + 180))
  printf '\n== [%4d s] haulm-service demo, asked from the copy %s\n' "$SECONDS" "$2"
  "$work/$1/.venv/bin/haulm-service" demo --port 0 >"$said" 2>&1 </dev/null &
  demo=$!
  until [[ $address ]] && "$work/$2/.venv/bin/haulm" health --url "$address" >/dev/null 2>&1; do
    if ! kill -0 "$demo" 2>/dev/null || ((SECONDS > patience)); then
      cat "$said"
      kill "$demo" 2>/dev/null || true
      failed+=('haulm-service demo does not answer')
      return 0
    fi
    sleep 0.5
    address=$(sed -n 's/^Serving on \([^ ]*\) .*/\1/p' "$said")
  done
  HAULM_URL=$address run_all "$2"
  kill "$demo"
  wait "$demo" || failed+=('haulm-service demo does not end as it should')
}

refuses() {
  local said
  if said=$(bash -c "$1" 2>&1); then
    echo "It should have refused; it said: $said"
    return 1
  fi
  echo "$said"
  [[ $(wc -l <<<"$said") == 1 && $said == *install* ]]
}

finish() {
  printf '\n== [%4d s] ' "$SECONDS"
  if ((${#failed[@]})); then
    printf 'failed:\n'
    printf '   %s\n' "${failed[@]}"
    exit 1
  fi
  printf 'all passed\n'
}
