"""Reading traces: lines as strace prints them, and a real program that uses the network.

Source: strace(1); the lines were printed by strace 6.1 of real programs.
"""

from __future__ import annotations

import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.patience import HANG_S
from tests.trace import addresses, programs, strace

ASKS_A_NAME = """\
12  connect(7, {sa_family=AF_UNIX, sun_path="/var/run/nscd/socket"}, 110) = -1 ENOENT \
(No such file or directory)
12  connect(7, {sa_family=AF_INET, sin_port=htons(53), sin_addr=inet_addr("10.0.0.5")}, 16) = 0
12  sendmmsg(7, [{msg_hdr={msg_name=NULL, msg_iov=[{iov_base="\\265\\7example"}]}}], 1) = 1
"""


@pytest.mark.parametrize(
    ("call", "shown", "sends"),
    [
        ('connect(3, {sa_family=AF_INET, sin_port=htons(9), sin_addr=inet_addr("127.0.0.1")}, 16)'
         " = 0", "connect AF_INET 127.0.0.1:9", True),
        ('connect(3, {sa_family=AF_INET, sin_port=htons(9), sin_addr=inet_addr("10.1.2.3")}, 16)'
         " = -1 ENETUNREACH (Network is unreachable)",
         "connect AF_INET 10.1.2.3:9 ENETUNREACH", True),
        ("connect(3, {sa_family=AF_INET6, sin6_port=htons(443), sin6_flowinfo=htonl(0), "
         'inet_pton(AF_INET6, "2001:db8::1", &sin6_addr), sin6_scope_id=0}, 28) = -1 EINPROGRESS '
         "(Operation now in progress)", "connect AF_INET6 [2001:db8::1]:443 EINPROGRESS", True),
        ('sendto(4, "x", 1, 0, {sa_family=AF_INET, sin_port=htons(9), '
         'sin_addr=inet_addr("127.0.0.2")}, 16) = 1', "sendto AF_INET 127.0.0.2:9", True),
        ('sendmsg(4, {msg_name={sa_family=AF_INET, sin_port=htons(9), sin_addr=inet_addr("1.2.3.4")'
         '}, msg_namelen=16, msg_iov=[{iov_base="ab", iov_len=2}], msg_iovlen=1}, 0) = 2',
         "sendmsg AF_INET 1.2.3.4:9", True),
        ('connect(6, {sa_family=AF_UNIX, sun_path="/run/a socket"}, 79) = 0',
         "connect AF_UNIX /run/a socket", True),
        ('connect(6, {sa_family=AF_UNIX, sun_path=@"abstract"}, 11) = -1 ECONNREFUSED '
         "(Connection refused)", "connect AF_UNIX @abstract ECONNREFUSED", False),
        ("bind(5, {sa_family=AF_INET6, sin6_port=htons(0), sin6_flowinfo=htonl(0), "
         'inet_pton(AF_INET6, "::1", &sin6_addr), sin6_scope_id=0}, 28) = 0',
         "bind AF_INET6 [::1]:0", False),
        ("sendto(3, [{nlmsg_len=20}, {ifi_family=AF_UNSPEC}], 20, 0, {sa_family=AF_NETLINK, "
         "nl_pid=0, nl_groups=00000000}, 12) = 20", "sendto AF_NETLINK", False),
        ("connect(4, {sa_family=AF_VSOCK, svm_cid=0x2, svm_port=0x400}, 16) = 0",
         "connect AF_VSOCK", True),
        ("io_uring_setup(8, {flags=0}) = 3", "io_uring_setup", True),
        ("io_uring_setup(8, {flags=0}) = -1 ENOSYS (Function not implemented)",
         "io_uring_setup ENOSYS", False),
    ],
)  # fmt: skip
def test_an_address_is_read(call: str, shown: str, sends: bool) -> None:
    (found,) = addresses(f"2550  {call}\n")
    assert (str(found), found.sends) == (shown, sends)


@pytest.mark.parametrize(
    "call",
    [
        'sendto(3, "sa_family=AF_INET, htons(9)", 27, 0, NULL, 0) = 27',
        'sendto(3, "\\"{sa_family=AF_INET", 20, 0, NULL, 0) = 20',
        "socket(AF_INET, SOCK_DGRAM|SOCK_CLOEXEC, IPPROTO_IP) = 3",
        'recvfrom(7, "Z", 9, 0, {sa_family=AF_INET, sin_port=htons(53)}, [28 => 16]) = 1',
        "+++ exited with 0 +++",
    ],
)
def test_what_names_no_place_to_send_to_is_left_out(call: str) -> None:
    assert addresses(f"2550  {call}\n") == []


def test_every_address_of_several_messages_is_read() -> None:
    one = '{msg_hdr={msg_name={sa_family=AF_INET, sin_port=htons(%d), sin_addr=inet_addr("%s")}}}'
    call = f"9  sendmmsg(7, [{one % (53, '10.0.0.1')}, {one % (54, '10.0.0.2')}], 2, 0) = 2"
    assert [each.place for each in addresses(call)] == ["10.0.0.1:53", "10.0.0.2:54"]


def test_a_look_up_is_seen() -> None:
    assert [each.sends for each in addresses(ASKS_A_NAME)] == [False, True]


def test_a_call_in_two_parts_is_one() -> None:
    """strace prints a call in two parts where another process makes one meanwhile."""
    trace = (
        '7  connect(3, {sa_family=AF_UNIX, sun_path="/a"}, 9 <unfinished ...>\n'
        '8  execve("/bin/ear", ["ear", "-x"], 0x7f /* 11 vars */ <unfinished ...>\n'
        "9  sendmmsg(4,  <unfinished ...>\n"
        "7  <... connect resumed>) = -1 ENOENT (No such file or directory)\n"
        "9  <... sendmmsg resumed>[{msg_hdr={msg_name={sa_family=AF_INET, htons(9)}}}]) = 1\n"
        "8  <... execve resumed>) = 0\n"
        '7  connect(3, {sa_family=AF_UNIX, sun_path="/b"}, 9 <unfinished ...>\n'
        "7  +++ killed by SIGKILL +++\n"
    )
    assert [(each.place, each.sends) for each in addresses(trace)] == [
        ("/a", False), (":9", True), ("/b", True)
    ]  # fmt: skip
    assert programs(trace) == ["ear -x"]


REACHER = """
import socket, sys
socket.socket(type=socket.SOCK_DGRAM).connect(("127.0.0.1", 9))
socket.socket(socket.AF_UNIX).connect(sys.argv[1])
try:
    socket.socket(socket.AF_UNIX).connect(sys.argv[1] + "-absent")
except FileNotFoundError:
    pass
"""


def test_a_real_program_and_its_child_are_seen(tmp_path: Path) -> None:
    trace, path = tmp_path / "trace", str(tmp_path / "served")
    starts = "import subprocess, sys; subprocess.run([sys.executable, *sys.argv[1:]], check=True)"
    command = [sys.executable, "-c", starts, "-c", REACHER, path]
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(path)
        server.listen()
        subprocess.run(strace(trace, *command), check=True, timeout=HANG_S)
    told = trace.read_text(errors="replace")
    found = [(each.place, each.sends) for each in addresses(told)]
    assert found == [("127.0.0.1:9", True), (path, True), (f"{path}-absent", False)]
    assert [path[:40] in each for each in programs(told)] == [True, True]
