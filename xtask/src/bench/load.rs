//! A small HTTP/1.1 client and two ways to load a server: open loop (sent on schedule, whatever is still unanswered)
//! and closed loop (each caller waits for its answer).
//!
//! One thread. Latencies of an open loop count from the scheduled moment, so that a stall of the server is felt by
//! every request that it held up. Tokio's timer fires up to 1 ms late; that is counted too.

use std::cell::RefCell;
use std::future::Future;
use std::rc::Rc;
use std::time::{Duration, Instant};

use http_body_util::{BodyExt as _, Full};
use hyper::body::Bytes;
use hyper::client::conn::http1::{SendRequest, handshake};
use hyper::{HeaderMap, Request, StatusCode, header};
use hyper_util::rt::TokioIo;
use tokio::net::TcpStream;

/// Why a request failed.
pub type Failed = Box<dyn std::error::Error>;

/// One request. The headers of a browser on our own page are added.
#[derive(Clone, Debug, Default)]
pub struct Ask {
    /// Path with query.
    pub path: String,
    /// `Cookie`.
    pub cookies: String,
    /// Language, where the cookie does not say it.
    pub lang: &'static str,
    /// Body with its type and the token of forms; a `GET` without.
    pub post: Option<(String, &'static str, String)>,
    /// The answer may be compressed, as browsers ask for pages.
    pub packed: bool,
    /// Address that the proxy in front of the server saw.
    pub from: Option<String>,
}

/// An answer, read to its end.
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Bytes,
}

impl Answer {
    /// Cookies that the answer sets, as a browser sends them back.
    pub fn cookies(&self) -> String {
        let set = self.headers.get_all(header::SET_COOKIE).iter().filter_map(|it| it.to_str().ok());
        set.filter_map(|it| it.split(';').next()).collect::<Vec<_>>().join("; ")
    }

    /// The body as JSON.
    pub fn json(&self) -> Result<serde_json::Value, Failed> {
        Ok(serde_json::from_slice(&self.body)?)
    }
}

/// Connections to one server, kept alive; a new one is opened when all are busy.
#[derive(Clone)]
pub struct Client {
    port: u16,
    idle: Rc<RefCell<Vec<SendRequest<Full<Bytes>>>>>,
}

impl Client {
    pub fn new(port: u16) -> Client {
        Client { port, idle: Rc::default() }
    }

    async fn connection(&self) -> Result<SendRequest<Full<Bytes>>, Failed> {
        let kept = self.idle.borrow_mut().pop();
        if let Some(open) = kept.filter(|it| !it.is_closed()) {
            return Ok(open);
        }
        let socket = TcpStream::connect(("127.0.0.1", self.port)).await?;
        socket.set_nodelay(true)?;
        let (sender, connection) = handshake(TokioIo::new(socket)).await?;
        tokio::task::spawn_local(connection);
        Ok(sender)
    }

    /// Sends and reads the whole answer.
    pub async fn ask(&self, ask: &Ask) -> Result<Answer, Failed> {
        let mut sender = self.connection().await?;
        sender.ready().await?;
        let host = format!("127.0.0.1:{}", self.port);
        let mut request = Request::builder()
            .uri(&ask.path)
            .header(header::HOST, &host)
            .header(header::ACCEPT_LANGUAGE, if ask.lang.is_empty() { "en" } else { ask.lang });
        if !ask.cookies.is_empty() {
            request = request.header(header::COOKIE, &ask.cookies);
        }
        if ask.packed {
            request = request.header(header::ACCEPT_ENCODING, "gzip, deflate, br");
        }
        if let Some(address) = &ask.from {
            request = request.header("x-forwarded-for", address);
        }
        let body = match &ask.post {
            Some((body, kind, csrf)) => {
                let origin = format!("https://{host}");
                request = request.method("POST").header(header::ORIGIN, origin);
                request = request.header(header::CONTENT_TYPE, *kind).header("x-csrf", csrf);
                body.clone()
            }
            None => String::new(),
        };
        let answer = sender.send_request(request.body(Full::new(Bytes::from(body)))?).await?;
        let (parts, body) = answer.into_parts();
        let body = body.collect().await?.to_bytes();
        self.idle.borrow_mut().push(sender);
        Ok(Answer { status: parts.status, headers: parts.headers, body })
    }
}

/// Latencies of requests that were answered as expected, and what the others said.
#[derive(Default)]
pub struct Times {
    millis: Vec<f64>,
    pub failed: Vec<String>,
}

impl Times {
    /// Answered as expected.
    pub fn count(&self) -> usize {
        self.millis.len()
    }

    /// The latency that so many in a hundred do not pass, ms. `NAN` when there is none.
    pub fn percentile(&self, percent: f64) -> f64 {
        let mut sorted = self.millis.clone();
        sorted.sort_by(f64::total_cmp);
        let at = ((percent / 100.0) * sorted.len() as f64).ceil() as usize;
        sorted.get(at.saturating_sub(1)).copied().unwrap_or(f64::NAN)
    }

    /// Median, 99th percentile, longest.
    pub fn told(&self) -> String {
        let [half, most, longest] = [50.0, 99.0, 100.0].map(|it| self.percentile(it));
        format!("median {half:.1} ms, p99 {most:.1} ms, longest {longest:.1} ms, {} requests", self.count())
    }

    fn note(&mut self, since: Instant, outcome: Result<(), Failed>) {
        match outcome {
            Ok(()) => self.millis.push(since.elapsed().as_secs_f64() * 1e3),
            Err(error) => self.failed.push(error.to_string()),
        }
    }
}

/// Runs `job(0)`, `job(1)`, ... on schedule, `rate` a second for `span`, and waits until all have ended.
pub async fn open_loop<F>(rate: f64, span: Duration, job: impl Fn(usize) -> F) -> Times
where
    F: Future<Output = Result<(), Failed>> + 'static,
{
    let times = Rc::new(RefCell::new(Times::default()));
    let begun = Instant::now();
    let mut running = Vec::new();
    for at in 0..(rate * span.as_secs_f64()) as usize {
        let due = begun + Duration::from_secs_f64(at as f64 / rate);
        tokio::time::sleep_until(due.into()).await;
        let (work, times) = (job(at), times.clone());
        running.push(tokio::task::spawn_local(async move {
            let outcome = work.await;
            times.borrow_mut().note(due, outcome);
        }));
    }
    for it in running {
        // A panic of a job was printed; its request is missing in the count.
        let _ = it.await;
    }
    times.take()
}

/// Lets so many callers run jobs one after the other for `span`; answers those done each second, with failures.
pub async fn closed_loop<J, F>(callers: usize, span: Duration, job: J) -> (f64, Vec<String>)
where
    J: Fn() -> F + Clone + 'static,
    F: Future<Output = Result<(), Failed>> + 'static,
{
    let begun = Instant::now();
    let caller = |job: J| async move {
        let (mut done, mut failed) = (0u64, Vec::new());
        while begun.elapsed() < span {
            match job().await {
                Ok(()) => done += 1,
                Err(error) => failed.push(error.to_string()),
            }
        }
        (done, failed)
    };
    let all: Vec<_> = (0..callers).map(|_| tokio::task::spawn_local(caller(job.clone()))).collect();
    let (mut done, mut failed) = (0, Vec::new());
    for it in all {
        let (more, wrong) = it.await.unwrap_or_else(|error| (0, vec![error.to_string()]));
        done += more;
        failed.extend(wrong);
    }
    (done as f64 / begun.elapsed().as_secs_f64(), failed)
}
