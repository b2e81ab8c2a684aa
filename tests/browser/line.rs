//! The connection between a browser and the server, which a test cuts and mends while both stay.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};

/// All that goes through it; nothing while it is cut.
#[derive(Default)]
struct Open {
    is_cut: bool,
    streams: Vec<TcpStream>,
}

/// A connection that can be cut.
pub struct Line {
    open: Arc<Mutex<Open>>,
    /// The port at which the browser finds it.
    pub port: u16,
}

impl Line {
    /// A line to a port of this machine.
    pub fn to(server: u16) -> Line {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("its address").port();
        let open = Arc::new(Mutex::new(Open::default()));
        let taken = Arc::clone(&open);
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let mut open = taken.lock().expect("the line");
                // What is not kept is closed.
                if open.is_cut {
                    continue;
                }
                let Ok(other) = TcpStream::connect(("127.0.0.1", server)) else {
                    continue;
                };
                for (from, to) in [(&stream, &other), (&other, &stream)] {
                    let (mut from, mut to) = (copy(from), copy(to));
                    std::thread::spawn(move || carry(&mut from, &mut to));
                }
                open.streams.extend([stream, other]);
            }
        });
        Line { open, port }
    }

    /// Cuts it: what is on its way is lost.
    pub fn cut(&self) {
        let mut open = self.open.lock().expect("the line");
        open.is_cut = true;
        for stream in open.streams.drain(..) {
            let _ = stream.shutdown(Shutdown::Both);
        }
    }

    /// Mends it.
    pub fn mend(&self) {
        self.open.lock().expect("the line").is_cut = false;
    }
}

fn copy(stream: &TcpStream) -> TcpStream {
    stream.try_clone().expect("a second hand on it")
}

fn carry(from: &mut TcpStream, to: &mut TcpStream) {
    let mut bytes = [0; 16 * 1024];
    while let Ok(count) = from.read(&mut bytes) {
        let part = bytes.get(..count).unwrap_or_default();
        if count == 0 || to.write_all(part).is_err() {
            break;
        }
    }
    let _ = to.shutdown(Shutdown::Both);
}
