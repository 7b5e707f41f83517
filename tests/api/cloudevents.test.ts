import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { CloudEvent, emitterFor, HTTP, httpTransport, Mode, type Message } from 'cloudevents';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, adminKey, configureOffice, run, startApi } from './server.js';

/** The CloudEvents project's own sender against a running server. https://github.com/cloudevents/sdk-javascript */
describeEachDatabase('the SDK of CloudEvents', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  const cloudEvent = (): CloudEvent<unknown> => new CloudEvent(run() as { type: string; source: string });
  const headers = { Authorization: `Bearer ${adminKey}` };

  async function stored(id: string): Promise<unknown> {
    const { body } = await api.get('/v1/events?limit=500').expect(200);
    return (body.items as { id: string }[]).find((event) => event.id === id);
  }

  describe.each([
    ['binary', Mode.BINARY],
    ['structured', Mode.STRUCTURED],
  ] as const)('%s mode', (_, mode) => {
    test('its own transport posts, and the event is in the ledger', async () => {
      const emit = emitterFor(httpTransport(`${api.server.url}/v1/events`), { binding: HTTP, mode });
      const event = cloudEvent();
      const answer = (await emit(event, { headers })) as { body: string };
      expect(JSON.parse(answer.body)).toMatchObject({ results: [{ id: event.id, status: 'accepted' }] });
      expect(await stored(event.id)).toMatchObject({ id: event.id, type: 'film.processed', data: event.data });
      const again = (await emit(event, { headers })) as { body: string };
      expect(JSON.parse(again.body)).toMatchObject({ results: [{ id: event.id, status: 'duplicate' }] });
    });
  });

  test('one event in either mode is the same event', async () => {
    const event = cloudEvent();
    for (const [mode, status] of [
      [Mode.BINARY, 'accepted'],
      [Mode.STRUCTURED, 'duplicate'],
    ] as const) {
      const emit = emitterFor(httpTransport(`${api.server.url}/v1/events`), { binding: HTTP, mode });
      const answer = (await emit(event, { headers })) as { body: string };
      expect(JSON.parse(answer.body)).toMatchObject({ results: [{ status }] });
    }
  });

  test('batch mode: what the SDK reads as a batch is what the server takes', async () => {
    const events = [cloudEvent(), cloudEvent(), cloudEvent()];
    const message: Message = {
      headers: { 'content-type': 'application/cloudevents-batch+json' },
      body: JSON.stringify(events),
    };
    expect(HTTP.toEvent(message)).toHaveLength(3);
    const answer = await fetch(`${api.server.url}/v1/events`, {
      method: 'POST',
      headers: { ...headers, ...(message.headers as Record<string, string>) },
      body: message.body as string,
    });
    expect(answer.status).toBe(200);
    const { results } = (await answer.json()) as { results: { id: string; status: string }[] };
    expect(results).toMatchObject(events.map(({ id }) => ({ id, status: 'accepted' })));
  });

  test('what the ledger shows is a valid CloudEvent again', async () => {
    const { body } = await api.get('/v1/events').expect(200);
    for (const shown of body.items as { type: string; source: string }[])
      expect(new CloudEvent(shown).validate()).toBe(true);
  });
});
