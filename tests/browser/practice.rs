//! The practice room in a real browser: a picture goes along with a set, and the room says so.

use crate::with_browser;
use anyhow::Result;
use cueline_tests::files::PIXEL;

/// Puts a file into the field as a person would by choosing it, and sends.
const SEND: &str = "
    const bytes = Uint8Array.from(atob(arguments[0]), (one) => one.charCodeAt(0));
    const chosen = new DataTransfer();
    chosen.items.add(new File([bytes], 'side.png'));
    const file = document.getElementById('file');
    file.files = chosen.files;
    file.dispatchEvent(new Event('change'));
    document.getElementById('text').value = arguments[1];
    document.getElementById('say').requestSubmit();";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_picture_is_sent_along_and_kept_once_the_lifter_agrees() -> Result<()> {
    with_browser(async |stage, browser, url| {
        stage.stop().await;
        stage.settings.practice.on = true;
        stage.start().await?;
        browser.open(&format!("{url}/practice?seat=lena")).await?;
        let set = "bench 60 kg x 5 @8, elbows flare, spotter there";
        browser.script(SEND, &[PIXEL.into(), set.into()]).await?;
        browser.wait_for("sent along: side.png").await?;
        browser.wait_for("I kept no picture or trace").await?;
        // The field is empty again: what comes next brings no file.
        browser
            .wait_until("return document.getElementById('file').files.length === 0")
            .await?;
        browser
            .script(
                "document.getElementById('text').value = 'I consent';
                 document.getElementById('say').requestSubmit();",
                &[],
            )
            .await?;
        browser.wait_for("From now on I keep").await?;
        // Alone, without words.
        browser.script(SEND, &[PIXEL.into(), "".into()]).await?;
        browser.wait_for("for the coach to see").await
    })
    .await
}
