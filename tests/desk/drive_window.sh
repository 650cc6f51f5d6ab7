#!/bin/bash
# Opens a program's window on a virtual display of its own and plays a script of real key and mouse events to it.
#
#   drive_window.sh WIDTHxHEIGHT PROGRAM [ARGUMENTS] < SCRIPT
#
# Lines of the script:
#   title PATTERN   wait until the window's title matches this extended regular expression (at most 180 s)
#   key NAME ...    press and release these keys (xdotool's names), 5 ms apart: several between two drawn frames
#   type TEXT       type a text
#   move X Y        move the pointer
#   click BUTTON    click (1 left, 2 middle, 3 right, 4 and 5 the wheel)
#   drag X Y        press the left button, move there, release
#   down, up        press the left button and hold it, release it
#   shot FILE       save the screen as a picture
#   pause SECONDS   let time pass
#   close           wait for the program to end by itself (at most 180 s)
# With PLUMBMARK_DRIVE_HERE set the window opens on the display that there is, for somebody to watch.
# The window speaks English, or what PLUMBMARK_DRIVE_LOCALE names (de_DE.UTF-8; the locale need not be installed).
# Exit code: the program's own, or 90 when the script could not be followed (the reason goes to standard error).
set -u
size=$1
shift
fail() {
    echo "drive_window: $*" >&2
    [ -n "${program:-}" ] && kill "$program" 2>/dev/null
    exit 90
}
open_display() {
    numbers=$(mktemp)
    exec 3>"$numbers"
    # Without -noreset the display begins anew when its last client leaves: a search for the window that ends before the
    # program has connected would close the door in its face.
    Xvfb -displayfd 3 -screen 0 "${size}x24" -nolisten tcp -noreset >/dev/null 2>&1 3>&3 &
    server=$!
    trap 'kill "$server" 2>/dev/null; wait "$server" 2>/dev/null; rm -f "$numbers"' EXIT
    for _ in $(seq 200); do
        [ -s "$numbers" ] && break
        sleep 0.05
    done
    [ -s "$numbers" ] || fail "the virtual display did not start"
    DISPLAY=":$(head -1 "$numbers")"
    export DISPLAY LIBGL_ALWAYS_SOFTWARE=1
    exec 3>&-
}
here=${PLUMBMARK_DRIVE_HERE:-}
[ -n "$here" ] || open_display
# While an input method is there, the window library takes two presses of a key in one millisecond for its echo and drops
# one. A hand is never that quick, but a busy machine gives quick taps one time stamp. A method that is named and not
# running is no method.
export XMODIFIERS=@im=none-here

env LC_ALL="${PLUMBMARK_DRIVE_LOCALE:-C.UTF-8}" "$@" &
program=$!
window=""
for _ in $(seq 600); do
    # On somebody's own display there are other windows.
    window=$(xdotool search --all --onlyvisible ${here:+--pid "$program"} --name '.' 2>/dev/null | head -1)
    [ -n "$window" ] && break
    kill -0 "$program" 2>/dev/null || break
    sleep 0.1
done
if [ -z "$window" ]; then
    wait "$program"
    code=$?
    echo "drive_window: no window appeared (the program ended with $code)" >&2
    exit 90
fi
whole=root
[ -n "$here" ] && whole=$window
# Without a window manager nobody gives the window the keyboard.
xdotool windowfocus "$window"

while read -r word rest; do
    case $word in
        '' | '#'*) ;;
        title)
            for _ in $(seq 3600); do
                title=$(xdotool getwindowname "$window" 2>/dev/null)
                printf '%s' "$title" | grep -Eq "$rest" && continue 2
                kill -0 "$program" 2>/dev/null || fail "the program ended while waiting for '$rest'"
                sleep 0.05
            done
            fail "the title stayed '$title' while waiting for '$rest'"
            ;;
        # shellcheck disable=SC2086
        key) xdotool key --delay 5 $rest ;;
        type) xdotool type --delay 10 "$rest" ;;
        # shellcheck disable=SC2086
        move) xdotool mousemove $rest ;;
        click) xdotool click "$rest" ;;
        # shellcheck disable=SC2086
        drag) xdotool mousedown 1 mousemove $rest mouseup 1 ;;
        down) xdotool mousedown 1 ;;
        up) xdotool mouseup 1 ;;
        shot) import -window "$whole" "$rest" ;;
        pause) sleep "$rest" ;;
        close)
            for _ in $(seq 3600); do
                kill -0 "$program" 2>/dev/null || break
                sleep 0.05
            done
            kill -0 "$program" 2>/dev/null && fail "the program did not end"
            ;;
        *) fail "what is '$word'?" ;;
    esac
done
kill -0 "$program" 2>/dev/null && kill "$program"
wait "$program"
