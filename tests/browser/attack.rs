//! Another page's forms, a link used twice, and words that would like to be markup.

use crate::{SET, handed_over, link, sign_in, with_browser};
use anyhow::Result;
use axum::Router;
use axum::response::Html;
use axum::routing::get;
use cueline_tests::browser::keys::ENTER;
use cueline_tests::stage::LIFTERS;
use tokio::net::TcpListener;

/// The one button of the page has the focus by itself.
const BUTTON: &str = "return document.activeElement.tagName === 'BUTTON'";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_link_works_once() -> Result<()> {
    with_browser(async |stage, browser, _| {
        let link = link(stage).await?;
        // Looked at twice, as a program that previews links would.
        for _ in 0..2 {
            browser.open(&link).await?;
            browser.wait_until(BUTTON).await?;
        }
        browser.press(ENTER).await?;
        browser.wait_for("Sign out").await?;
        browser.click("form.out button").await?;
        browser.wait_for("Write desk to Cueline").await?;
        browser.open(&link).await?;
        browser.wait_until(BUTTON).await?;
        browser.press(ENTER).await?;
        browser.wait_for("This link does not work").await?;
        Ok(())
    })
    .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_form_of_another_page_changes_nothing() -> Result<()> {
    with_browser(async |stage, browser, url| {
        let number = handed_over(stage, "mara", "Mara", SET).await?;
        sign_in(stage, browser).await?;
        browser.open(&format!("{url}/desk/case/{number}")).await?;
        // The worst case: the other page even knows the coach's form token.
        let read = "return document.querySelector('input[name=' + arguments[0] + ']').value";
        let token = browser.script(read, &["form".into()]).await?;
        let deed = browser.script(read, &["deed".into()]).await?;
        let page = format!(
            "<form method=post action='{url}/desk/case/{number}/say'>\
             <input name=form value={token}><input name=deed value={deed}>\
             <input name=text value=forged></form><script>document.forms[0].submit()</script>"
        );
        let other = Router::new().route("/", get(async move || Html(page)));
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let served = tokio::spawn(async move { axum::serve(listener, other).await });
        browser.open(&format!("http://{address}/")).await?;
        browser.wait_for("Not from here").await?;
        served.abort();
        stage.rest().await?;
        let said = stage.river.messages_to(LIFTERS);
        assert!(said.iter().all(|message| !message.text.contains("forged")));
        Ok(())
    })
    .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn hostile_words_stay_words() -> Result<()> {
    with_browser(async |stage, browser, url| {
        let attacks = [
            "<img src=x onerror=window.hacked=1>",
            "<script>window.hacked=1</script>",
            "\"><svg onload=window.hacked=1>",
            "</textarea><script>window.hacked=1</script>",
            "[x](javascript:window.hacked=1)",
        ];
        let mut numbers = Vec::new();
        for (index, attack) in attacks.iter().enumerate() {
            let set = format!("{SET} {attack}");
            let id = format!("l{index}");
            numbers.push(handed_over(stage, &id, attack, &set).await?);
        }
        sign_in(stage, browser).await?;
        let mut pages = vec![format!("{url}/desk"), format!("{url}/desk/cases")];
        for (number, attack) in numbers.iter().zip(attacks) {
            let case = format!("{url}/desk/case/{number}");
            browser.open(&case).await?;
            let fill = "document.getElementById('answer').value = arguments[0]; \
                        document.getElementById('answer').form.requestSubmit()";
            browser.script(fill, &[attack.into()]).await?;
            browser.wait_for("As it will be read").await?;
            unharmed(browser).await?;
            pages.push(case);
        }
        for page in pages {
            browser.open(&page).await?;
            unharmed(browser).await?;
            assert!(browser.text().await?.contains("onerror=window"), "{page}");
            if page.ends_with("/desk/cases") {
                // Every further page is a case, which shows its own words.
                break;
            }
        }
        Ok(())
    })
    .await
}

/// No script of a lifter ran, and none of their words became an element.
async fn unharmed(browser: &cueline_tests::browser::Browser) -> Result<()> {
    let hacked = browser.script("return window.hacked ?? null", &[]).await?;
    assert!(hacked.is_null(), "{}", browser.address().await?);
    let elements = "return document.querySelectorAll(\
        'body script, body img, a[href^=\"javascript\"], svg[onload]').length";
    let found = browser.script(elements, &[]).await?;
    assert_eq!(found, 0, "{}", browser.address().await?);
    Ok(())
}
