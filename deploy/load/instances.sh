# Two instances of the released program behind a proxy with the set-up of this folder, on free ports of the loopback
# address, everything else below a folder of its own. Sourced by ../check-proxies and replace; needs python3 for free ports.
# Whoever sources it sets `work` to an empty folder and calls `leave_instances` at the end.

unset "${!BRIMLINE_@}"
export no_proxy=127.0.0.1 NO_PROXY=127.0.0.1
program=${PROGRAM:-target/release/brimline}
declare -A instance_port instance_pid
proxy_pid=

free_port() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

# start_instance NAME [FLAG…]: on the port that the name had before, or on a free one.
start_instance() {
    local name=$1 port=${instance_port[$1]:-0}
    shift
    : >"$work/$name.out"
    "$program" --listen "127.0.0.1:$port" --log warn "$@" >"$work/$name.out" 2>>"$work/$name.err" &
    instance_pid[$name]=$!
    for _ in {1..200}; do
        port=$(sed -n '1s/^brimline: listening on http:.*://p' "$work/$name.out")
        if [[ -n $port ]]; then instance_port[$name]=$port; return; fi
        sleep 0.05
    done
    cat "$work/$name.err" >&2
    return 1
}

# stop_instance NAME: as a service manager does; its exit code is this function's.
stop_instance() {
    local pid=${instance_pid[$1]}
    kill -TERM "$pid"
    instance_pid[$1]=
    wait "$pid"
}

# kill_instance NAME: as when its machine is lost.
kill_instance() {
    local pid=${instance_pid[$1]}
    instance_pid[$1]=
    if [[ -z $pid ]]; then return; fi
    kill -KILL "$pid" 2>/dev/null || true
    wait "$pid" 2>/dev/null || true
}

wait_for_proxy() {
    for _ in {1..100}; do
        if curl -sf -o /dev/null "$1/readyz"; then return; fi
        kill -0 "$proxy_pid" || return 1
        sleep 0.1
    done
    return 1
}

# start_proxy nginx|haproxy: sets `url`. The set-ups are those of this folder but for ports, paths and the user.
start_proxy() {
    local port one=127.0.0.1:${instance_port[one]} two=127.0.0.1:${instance_port[two]}
    port=$(free_port)
    url=http://127.0.0.1:$port
    case $1 in
    nginx)
        mkdir -p "$work/nginx"
        sed -e "s|127.0.0.1:8081|$one|; s|127.0.0.1:8082|$two|; s|listen 127.0.0.1:8080|listen 127.0.0.1:$port|" \
            -e "s|/run/nginx.pid|$work/nginx/pid|; s|/var/log/nginx|$work/nginx|; s|/var/cache/nginx|$work/nginx|" \
            -e "s|^user .*|user $(id -un);|" \
            -e "/^http {/a client_body_temp_path $work/nginx/body; proxy_temp_path $work/nginx/proxy; fastcgi_temp_path $work/nginx/fastcgi; uwsgi_temp_path $work/nginx/uwsgi; scgi_temp_path $work/nginx/scgi;" \
            deploy/nginx.conf >"$work/nginx/nginx.conf"
        nginx -e "$work/nginx/error.log" -c "$work/nginx/nginx.conf" -g 'daemon off;' 2>"$work/nginx/stderr" &
        ;;
    haproxy)
        BRIMLINE_PROXY_LISTEN=127.0.0.1:$port BRIMLINE_ONE=$one BRIMLINE_TWO=$two \
            haproxy -db -f deploy/haproxy.cfg 2>"$work/haproxy.log" &
        ;;
    esac
    proxy_pid=$!
    wait_for_proxy "$url"
}

stop_proxy() {
    if [[ -n $proxy_pid ]]; then kill -TERM "$proxy_pid" 2>/dev/null; wait "$proxy_pid" 2>/dev/null; fi
    proxy_pid=
}

# Ends what was started here, by its own process id and nothing else.
leave_instances() {
    local name
    stop_proxy || true
    for name in "${!instance_pid[@]}"; do kill_instance "$name"; done
}
