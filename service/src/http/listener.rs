//! The socket that is listened on, and how many there may be.

use socket2::{Domain, Protocol, Socket, Type};
use std::io;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;

/// Connections that may wait to be taken.
const BACKLOG: i32 = 1024;

/// Listens on an address. A connection whose reader takes nothing for as long as `no_progress` is cut.
///
/// The framework polls no body, and no timer, while a reader stands still; the kernel sees him. Connections inherit the option
/// from the socket that they were taken from. Where the system has none (others than Linux), nobody is cut.
///
/// # Errors
/// The address cannot be listened on.
pub fn listen(address: SocketAddr, no_progress: Duration) -> io::Result<TcpListener> {
    let socket = Socket::new(Domain::for_address(address), Type::STREAM, Some(Protocol::TCP))?;
    socket.set_reuse_address(true)?;
    #[cfg(target_os = "linux")]
    socket.set_tcp_user_timeout(Some(no_progress))?;
    #[cfg(not(target_os = "linux"))]
    let _ = no_progress;
    socket.bind(&address.into())?;
    socket.listen(BACKLOG)?;
    Ok(socket.into())
}

/// Lets the process open as many files as the system grants it: a connection takes two descriptors, and the limit that a shell hands
/// down is often 1024.
pub fn raise_descriptors() {
    #[cfg(unix)]
    {
        use rustix::process::{Resource, getrlimit, setrlimit};
        let mut limit = getrlimit(Resource::Nofile);
        limit.current = limit.maximum;
        // Where it is not granted, connections wait to be taken as they did.
        let _ = setrlimit(Resource::Nofile, limit);
    }
}
