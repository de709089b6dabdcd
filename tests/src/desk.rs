//! A browser without scripts at the coach's desk: pages, forms and one cookie over plain HTTP.

use anyhow::{Context as _, Result, bail};
use reqwest::Method;
use reqwest::header::{COOKIE, HeaderMap, LOCATION, SET_COOKIE};
use std::net::SocketAddr;

/// The address the desk is set to. It stands for the encrypted one before the service; requests
/// go to the service itself.
pub const URL: &str = "https://desk.example";

/// One answer.
#[derive(Clone, Debug)]
pub struct Page {
    /// Status.
    pub status: u16,
    /// Where it leads.
    pub location: Option<String>,
    /// The cookie it sets.
    pub set_cookie: Option<String>,
    /// Headers.
    pub headers: HeaderMap,
    /// Body.
    pub text: String,
}

impl Page {
    /// A header; empty when missing.
    pub fn header(&self, name: &str) -> &str {
        let value = self.headers.get(name);
        value.and_then(|value| value.to_str().ok()).unwrap_or("")
    }

    /// The value of the first hidden field of this name.
    pub fn field(&self, name: &str) -> Option<String> {
        let head = format!("type=\"hidden\" name=\"{name}\" value=\"");
        let (_, rest) = self.text.split_once(&head)?;
        Some(rest.split('"').next()?.to_owned())
    }

    /// What stands in a text area, as its field would send it.
    pub fn textarea(&self, id: &str) -> Option<String> {
        let (_, rest) = self.text.split_once(&format!("<textarea id=\"{id}\""))?;
        let (_, rest) = rest.split_once('>')?;
        let (inside, _) = rest.split_once("</textarea>")?;
        let plain = inside
            .replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"");
        Some(plain.replace("&amp;", "&"))
    }
}

/// A browser at the desk.
#[derive(Clone, Debug)]
pub struct Desk {
    /// Where the service listens.
    pub address: SocketAddr,
    /// The session's cookie, name and value.
    pub cookie: Option<String>,
    client: reqwest::Client,
}

impl Desk {
    /// A browser that is not signed in.
    pub fn new(address: SocketAddr) -> Result<Self> {
        let client = reqwest::Client::builder()
            .no_proxy()
            .redirect(reqwest::redirect::Policy::none())
            .build()?;
        Ok(Self {
            address,
            cookie: None,
            client,
        })
    }

    async fn request(
        &mut self,
        method: Method,
        path: &str,
        origin: Option<&str>,
        fields: Option<&[(&str, &str)]>,
    ) -> Result<Page> {
        let mut request = self
            .client
            .request(method, format!("http://{}{path}", self.address));
        if let Some(origin) = origin {
            request = request.header("origin", origin);
        }
        if let Some(cookie) = &self.cookie {
            request = request.header(COOKIE, cookie);
        }
        if let Some(fields) = fields {
            let body = encoded(fields);
            request = request
                .header("content-type", "application/x-www-form-urlencoded")
                .body(body);
        }
        let answer = request.send().await?;
        let headers = answer.headers().clone();
        let text = |name| {
            let value = headers.get(name)?;
            value.to_str().ok().map(str::to_owned)
        };
        let (location, set_cookie) = (text(LOCATION), text(SET_COOKIE));
        if let Some(cookie) = &set_cookie {
            let pair = cookie.split(';').next().unwrap_or_default();
            self.cookie = (!pair.ends_with('=')).then(|| pair.to_owned());
        }
        Ok(Page {
            status: answer.status().as_u16(),
            location,
            set_cookie,
            headers,
            text: answer.text().await?,
        })
    }

    /// Opens a page.
    pub async fn get(&mut self, path: &str) -> Result<Page> {
        self.request(Method::GET, path, None, None).await
    }

    /// Opens a page with what was typed into its search.
    pub async fn get_with(&mut self, path: &str, fields: &[(&str, &str)]) -> Result<Page> {
        let path = format!("{path}?{}", encoded(fields));
        self.request(Method::GET, &path, None, None).await
    }

    /// Sends a form from a page of this origin.
    pub async fn post(
        &mut self,
        path: &str,
        origin: Option<&str>,
        fields: &[(&str, &str)],
    ) -> Result<Page> {
        self.request(Method::POST, path, origin, Some(fields)).await
    }

    /// Sends a form as a page of the desk holds it, with what was typed.
    pub async fn send(&mut self, from: &Page, path: &str, typed: &[(&str, &str)]) -> Result<Page> {
        let (form, deed) = (from.field("form"), from.field("deed"));
        let mut fields: Vec<(&str, &str)> = Vec::new();
        fields.extend(form.as_deref().map(|value| ("form", value)));
        fields.extend(deed.as_deref().map(|value| ("deed", value)));
        fields.extend(typed);
        self.post(path, Some(URL), &fields).await
    }

    /// Presses the button that a link to sign in opens.
    pub async fn enter(&mut self, key: &str) -> Result<Page> {
        self.post("/desk/enter", Some(URL), &[("key", key)]).await
    }

    /// Goes where an answer leads.
    pub async fn follow(&mut self, answer: &Page) -> Result<Page> {
        let location = answer
            .location
            .clone()
            .with_context(|| format!("{answer:?}"))?;
        self.get(&location).await
    }

    /// Any method, with another session's form when it is a form.
    pub async fn any(&mut self, method: &str, path: &str, form: &Page) -> Result<Page> {
        match method {
            "GET" => self.get(path).await,
            "HEAD" => self.request(Method::HEAD, path, None, None).await,
            "POST" => self.send(form, path, &[]).await,
            other => bail!("no method {other} here"),
        }
    }
}

/// Fields as a form sends them (WHATWG URL Standard, application/x-www-form-urlencoded).
fn encoded(fields: &[(&str, &str)]) -> String {
    let part = |text: &str| -> String {
        text.bytes()
            .map(|byte| match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'*' | b'-' | b'.' | b'_' => {
                    char::from(byte).to_string()
                }
                b' ' => "+".to_owned(),
                byte => format!("%{byte:02X}"),
            })
            .collect()
    };
    let pairs: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{}={}", part(name), part(value)))
        .collect();
    pairs.join("&")
}
